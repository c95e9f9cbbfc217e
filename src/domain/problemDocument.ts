// The door for problem documents (lanewright-problem/1): text or bytes or an object in, a Problem with every default
// filled in out, or all its faults, each with its JSON path, what is wrong and what would be right.
import type { z } from 'zod';
import type { Fault } from './jsonText.ts';
import { readJson } from './jsonText.ts';
import { findLockFaults } from './lockFaults.ts';
import type { Problem } from './problem.ts';
import { problemFromDocument } from './problemFromDocument.ts';
import { findReferenceFaults } from './problemReferences.ts';
import type { ProblemDocument } from './problemSchema.ts';
import { problemSchema } from './problemSchema.ts';

export type { Fault } from './jsonText.ts';
export type { ProblemDocument } from './problemSchema.ts';

export type ParsedProblem =
  | { ok: true; problem: Problem; document: ProblemDocument }
  | { ok: false; faults: Fault[] };

/** Reads a problem document: JSON text, UTF-8 bytes, or the already parsed value. Never throws on bad input. */
export function parseProblem(input: string | unknown): ParsedProblem {
  const isText = typeof input === 'string' || input instanceof Uint8Array;
  const read = isText ? readJson(input) : ({ ok: true, value: input } as const);
  if (!read.ok) return read;
  const shaped = problemSchema.safeParse(read.value);
  if (!shaped.success) {
    return { ok: false, faults: shaped.error.issues.flatMap((issue) => faultsOf(issue, read.value)) };
  }
  const faults = [...findReferenceFaults(shaped.data), ...findLockFaults(shaped.data)];
  if (faults.length) return { ok: false, faults };
  return { ok: true, problem: problemFromDocument(shaped.data), document: shaped.data };
}

/** One line for people: path, what is wrong, what would be right. */
export function printFault({ path, wrong, right }: Fault): string {
  return `${path}: ${wrong}; expected ${right}`;
}

function faultsOf(issue: z.core.$ZodIssue, root: unknown): Fault[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => ({
      path: printPath([...issue.path, key]),
      wrong: 'is an unknown field',
      right: issue.message,
    }));
  }
  return [{ path: printPath(issue.path), wrong: describe(valueAt(root, issue.path)), right: issue.message }];
}

function printPath(path: PropertyKey[]): string {
  const text = path.map((step) =>
    typeof step === 'number'
      ? `[${step}]`
      : /^\w+$/.test(String(step))
        ? `.${String(step)}`
        : `[${JSON.stringify(step)}]`,
  );
  return text.join('').replace(/^\./, '') || '$';
}

function valueAt(root: unknown, path: PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (value, step) => (value as Record<PropertyKey, unknown> | undefined)?.[step],
    root,
  );
}

function describe(value: unknown): string {
  if (value === undefined) return 'is missing';
  if (Array.isArray(value)) return value.length === 0 ? 'is an empty list' : `is a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return 'is an object';
  const text = typeof value === 'number' ? String(value) : JSON.stringify(value);
  return `is ${text.length > 60 ? `${text.slice(0, 57)}...` : text}`;
}
