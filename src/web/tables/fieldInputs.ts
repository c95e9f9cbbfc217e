// Fields of a form as views/resource/_input.ejs draws them: what was typed, what is wrong with it, what may be chosen.
import { type Fault, type Field, fieldHead } from '../../domain/resource.ts';
import { choicesOf } from '../choices.ts';
import type { Services } from '../services.ts';

export type TypedTexts = Record<string, string>;

/** What a form sent for these fields; a field that was not sent is not there. */
export function typedOf(fields: readonly Field[], body: Record<string, unknown>): TypedTexts {
  return Object.fromEntries(
    fields.filter(({ name }) => Object.hasOwn(body, name)).map(({ name }) => [name, asText(body[name])]),
  );
}

export const asText = (value: unknown): string =>
  Array.isArray(value) ? value.join('; ') : String(value ?? '');

/** The defaults of a form that is shown first. */
export const defaultsOf = (fields: readonly Field[]): TypedTexts =>
  Object.fromEntries(fields.map((field) => [field.name, field.default ?? '']));

async function inputOf(services: Services, field: Field, typed: TypedTexts, faults: readonly Fault[]) {
  const fault = faults.find((f) => f.field === field.name);
  return {
    field,
    head: fieldHead(field),
    value: typed[field.name] ?? '',
    fault,
    choices: await choicesOf(services, field),
    describedBy: [field.help ? `h-${field.name}` : '', fault ? `w-${field.name}` : '']
      .filter(Boolean)
      .join(' '),
  };
}

export const inputsOf = (
  services: Services,
  fields: readonly Field[],
  typed: TypedTexts,
  faults: readonly Fault[],
) => Promise.all(fields.map((field) => inputOf(services, field, typed, faults)));
