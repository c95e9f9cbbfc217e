// One row of a resource: everything about it, what refers to it, and deleting it (asked first, refused while in use).
// A roll's page draws its map.
import type { RequestHandler } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import type { Field, Resource, ResourceName, Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { deleteRow } from '../../usecases/tables/deleteRow.ts';
import { getRow, listRows } from '../../usecases/tables/listRows.ts';
import { shownNames } from '../choices.ts';
import { markOf, markWords } from '../marks.ts';
import { showPage } from '../page.ts';
import { reservedFor } from '../reservedWords.ts';
import { lotHref } from '../rolls/familyTree.ts';
import { rollField } from '../rolls/fieldOfRoll.ts';
import { careOf } from '../rolls/rollCare.ts';
import type { Services } from '../services.ts';
import { capital, count, referenceHref, rowHref, shown } from '../words.ts';

const DEFAULTS = 'As entered. What a note calls "default - verify" stands in until somebody has measured it.';
/** Where the numbers on the page come from. */
const ORIGINS: Partial<Record<ResourceName, string>> = {
  rolls:
    'Width, length and mass: measured or taken from the label when the roll was booked in. The rest as entered.',
  products: DEFAULTS,
  slitters: DEFAULTS,
};

/** The row of an address, or the refusal that there is none. */
export async function rowOrRefuse(services: Services, resource: Resource, code: string): Promise<Row> {
  const row = await getRow(services.db, resource, code);
  if (!row) throw new Refusal('not-found', { what: resource.singular, code });
  return row;
}

/** GET /<resource>/:code: the page of one row. */
export function rowPage(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, resource, String(req.params.code));
    const code = String(row[resource.key]);
    const today = services.today();
    const names = await shownNames(services, resource, [row]);
    showPage(req, res, 'resource/row', {
      title: `${capital(resource.singular)} ${code}`,
      resource,
      code,
      name: row.name,
      origin: ORIGINS[resource.name] ?? 'As entered.',
      did: req.query.did,
      href: rowHref(resource.name, code),
      facts: resource.fields
        .filter((f) => f.name !== resource.key)
        .map((f) => factOf(f, row, today, names.get(f.name))),
      planHref: planHref(resource, row),
      recordHref: resource.name === 'suppliers' ? `${rowHref('suppliers', code)}/record` : undefined,
      usedBy: await usedBy(services, resource, row),
      reserved: await reservedFor(services, resource.name, code),
      picture: resource.name === 'rolls' ? rollField(row) : undefined,
      care: resource.name === 'rolls' ? await careOf(services, row) : undefined,
    });
  };
}

/** Where to plan it: an order that is open, or the open orders of a product. */
function planHref(resource: Resource, row: Row): string | undefined {
  const code = encodeURIComponent(String(row[resource.key]));
  if (resource.name === 'orders' && row.status === 'open') return `/plans?order=${code}`;
  return resource.name === 'products' ? `/plans?product=${code}` : undefined;
}

function factOf(field: Field, row: Row, today: string, names: Map<string, string> | undefined) {
  const value = row[field.name];
  const mark = markOf(field, row, today);
  const codes = field.kind === 'references' ? ((value ?? []) as string[]) : [];
  return {
    label: field.label,
    unit: field.unit?.replace('m2', 'm²').replace('cm3', 'cm³'),
    text: names?.get(String(value)) ?? shown(field, value),
    href:
      field.name === 'lot' && value
        ? lotHref(String(value))
        : referenceHref(field, row, field.kind === 'reference' ? value : undefined),
    links: codes.map((c) => ({ code: c, href: referenceHref(field, row, c) })),
    mark,
    markWords: markWords(field, mark),
  };
}

/** Lists that hold this row's code in a filterable reference, with how many rows they hold. */
async function usedBy(services: Services, resource: Resource, row: Row) {
  const code = String(row[resource.key]);
  const uses = Object.values(RESOURCES).flatMap((other) =>
    other.fields.filter((f) => f.filter && pointsTo(f, resource)).map((field) => ({ other, field })),
  );
  const counted = await Promise.all(
    uses.map(async ({ other, field }) => {
      const filters = { [field.name]: code };
      const query = { page: 1, pageSize: 1, sort: other.key, descending: false, filters, search: '' };
      const { total } = await listRows(services.db, other, query);
      // Rolls of an item: first expired, first out.
      const sorted = other.name === 'rolls' ? { ...filters, sort: 'useBy' } : filters;
      const href = `/${other.name}?${new URLSearchParams(sorted)}`;
      return { total, href, text: count(total, other.singular, other.plural) };
    }),
  );
  return counted.filter((use) => use.total > 0);
}

function pointsTo(field: Field, resource: Resource): boolean {
  if (field.toBy) return Object.values(field.toBy.targets).includes(resource.name);
  return field.kind === 'reference' && field.to === resource.name;
}

/** GET /<resource>/:code/delete: asks before deleting. */
export function askDelete(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, resource, String(req.params.code));
    const code = String(row[resource.key]);
    showPage(req, res, 'resource/delete', {
      title: `Delete ${resource.singular} ${code}?`,
      resource,
      code,
      href: rowHref(resource.name, code),
      usedBy: await usedBy(services, resource, row),
    });
  };
}

/** POST /<resource>/:code/delete: deletes, or says what still uses the row. */
export function doDelete(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    await deleteRow(services.db, resource, String(req.params.code));
    res.redirect(303, `/${resource.name}?did=deleted`);
  };
}
