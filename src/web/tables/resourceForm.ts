// The form for a new row and for changing one, made from the resource's description.
// What was typed comes back as it was typed, each fault beside its field, with status 422; nothing is saved then.
import type { Request, RequestHandler, Response } from 'express';
import { printField } from '../../domain/fieldText.ts';
import type { Fault, Resource } from '../../domain/resource.ts';
import { markOfRow } from '../../usecases/tables/rowSeen.ts';
import { saveRow } from '../../usecases/tables/saveRow.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { nameOf } from '../whoIsAsking.ts';
import { rowHref } from '../words.ts';
import { asText, defaultsOf, inputsOf, type TypedTexts, typedOf } from './fieldInputs.ts';
import { rowOrRefuse } from './resourceRow.ts';

/** The hidden field with the mark of the row as it was shown. */
const SEEN = 'seen';

/** GET /new/<resource>: an empty form; fields named in the address are filled in. */
export function newForm(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const typed = defaultsOf(resource.fields);
    await showForm(services, req, res, { resource, typed, code: undefined, faults: [] });
  };
}

/** GET /<resource>/:code/edit: the form of a row. */
export function editForm(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, resource, String(req.params.code));
    const typed = Object.fromEntries(resource.fields.map((f) => [f.name, printField(f, row[f.name])]));
    const seen = markOfRow(resource, row);
    await showForm(services, req, res, {
      resource,
      typed,
      code: String(row[resource.key]),
      seen,
      faults: [],
    });
  };
}

/** POST /new/<resource> and POST /<resource>/:code/edit: saves, or shows the form again with its faults. */
export function saveForm(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const code = req.params.code === undefined ? undefined : String(req.params.code);
    if (code !== undefined) await rowOrRefuse(services, resource, code);
    const typed = typedOf(resource.fields, req.body);
    const seen = typeof req.body[SEEN] === 'string' ? req.body[SEEN] : undefined;
    const unknown = unknownFields(resource, req.body);
    const saved =
      unknown.length > 0
        ? ({ ok: false, faults: unknown } as const)
        : await saveRow(services.db, resource, typed, {
            by: nameOf(req),
            ...(code === undefined ? {} : { code, seen }),
          });
    if (!saved.ok) {
      const meanwhile = 'now' in saved && saved.now !== undefined;
      const state = { resource, typed, code, seen: meanwhile ? saved.now : seen, faults: saved.faults };
      return showForm(services, req, res, { ...state, meanwhile });
    }
    const did = code === undefined ? 'added' : 'saved';
    res.redirect(303, `${rowHref(resource.name, String(saved.row[resource.key]))}?did=${did}`);
  };
}

function unknownFields(resource: Resource, body: Record<string, unknown>): Fault[] {
  const known = resource.fields.map((f) => f.name);
  return Object.keys(body)
    .filter((name) => name !== SEEN && !known.includes(name))
    .map((name) => ({
      field: name,
      value: asText(body[name]),
      wrong: `${resource.singular} has no field "${name}"`,
      right: `one of: ${known.join(', ')}`,
    }));
}

interface FormState {
  resource: Resource;
  typed: TypedTexts;
  /** The row that is changed; undefined for a new one. */
  code: string | undefined;
  seen?: string | undefined;
  /** Somebody else saved the row after this form was opened. */
  meanwhile?: boolean;
  faults: readonly Fault[];
}

async function showForm(services: Services, req: Request, res: Response, state: FormState): Promise<void> {
  const { resource, typed, code, seen, meanwhile = false, faults } = state;
  const names = new Set(resource.fields.map((f) => f.name));
  showPage(
    req,
    res,
    'resource/form',
    {
      title: code === undefined ? `New ${resource.singular}` : `Change ${resource.singular} ${code}`,
      under: `/${resource.name}`,
      resource,
      code,
      seen,
      meanwhile,
      backHref: code === undefined ? `/${resource.name}` : rowHref(resource.name, code),
      inputs: await inputsOf(services, typedFor(resource, code), typed, faults),
      fixed:
        code === undefined
          ? []
          : resource.fields
              .filter(({ onlyNew }) => onlyNew !== undefined)
              .map((f) => ({ label: f.label, value: typed[f.name] ?? '', where: f.onlyNew })),
      faults: faults.map((fault) => ({ ...fault, known: names.has(fault.field ?? '') })),
    },
    meanwhile ? 409 : faults.length > 0 ? 422 : 200,
  );
}

/** The fields that are typed: for a row that exists, those that a form may change. */
const typedFor = (resource: Resource, code: string | undefined) =>
  resource.fields.filter(({ onlyNew }) => code === undefined || onlyNew === undefined);
