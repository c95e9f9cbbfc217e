// What a row says about other rows: references must exist, and a width must fit a slitter. Done for many rows at once,
// so that a file of 10,000 lines asks the database a few times, not 10,000 times.
import type { Knex } from 'knex';
import {
  CURRENCY,
  type Fault,
  type Field,
  type Resource,
  type ResourceName,
  type Row,
  referenceTarget,
} from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { umToMm } from '../../domain/units.ts';
import { currenciesKnown } from '../../store/rates.ts';
import { findCodes, findRows, selectRows } from '../../store/rows.ts';
import { withColumn } from './rowInput.ts';

/**
 * The faults of each row, by its index. References are set to the spelling of the database. A row may lack fields that
 * could not be read: what depends on them is not checked.
 */
export async function crossCheck(db: Knex, resource: Resource, rows: readonly Row[]): Promise<Fault[][]> {
  const known = await knownCodes(db, resource, rows);
  const fits = await widthRule(db, resource, rows);
  const priced = await currencyRule(db, resource);
  return rows.map((row) =>
    [...checkReferences(resource, row, known), ...fits(row), ...priced(row)].map((fault) =>
      withColumn(resource, fault),
    ),
  );
}

type Known = Map<ResourceName, Map<string, string>>;

interface Reference {
  field: Field;
  target: ResourceName;
  code: string;
}

function referencesOf(resource: Resource, row: Row): Reference[] {
  return resource.fields.flatMap((field) => {
    const target = referenceTarget(field, row);
    const value = row[field.name];
    if (!target || value === null || value === undefined) return [];
    return [value].flat().map((code) => ({ field, target, code: String(code) }));
  });
}

async function knownCodes(db: Knex, resource: Resource, rows: readonly Row[]): Promise<Known> {
  const asked = new Map<ResourceName, Set<string>>();
  for (const { target, code } of rows.flatMap((row) => referencesOf(resource, row)))
    asked.set(target, (asked.get(target) ?? new Set()).add(code));
  const known: Known = new Map();
  for (const [target, codes] of asked) known.set(target, await findCodes(db, RESOURCES[target], [...codes]));
  return known;
}

function checkReferences(resource: Resource, row: Row, known: Known): Fault[] {
  const faults: Fault[] = [];
  for (const field of resource.fields.filter((one) => one.to || one.toBy)) {
    const spelt = referencesOf(resource, row)
      .filter((reference) => reference.field === field)
      .map(({ target, code }) => {
        const found = known.get(target)?.get(code.toLowerCase());
        if (found === undefined) faults.push(unknown(field, RESOURCES[target], code));
        return found ?? code;
      });
    if (spelt.length > 0) row[field.name] = field.kind === 'references' ? [...new Set(spelt)] : spelt[0];
  }
  return faults;
}

function unknown(field: Field, target: Resource, code: string): Fault {
  const right = `a code from the list of ${target.plural}, or add this ${target.singular} first`;
  return { field: field.name, value: code, wrong: `there is no ${target.singular} ${code}`, right };
}

/** Currencies in which prices may be: the plant's, and those with an exchange rate. */
export const currenciesFor = async (db: Knex): Promise<string[]> => [
  CURRENCY,
  ...(await currenciesKnown(db)),
];

/** Suppliers and offers name a currency that can be compared: the plant's, or one with an exchange rate. */
async function currencyRule(db: Knex, { name }: Resource): Promise<(row: Row) => Fault[]> {
  if (name !== 'suppliers' && name !== 'offers') return () => [];
  const known = await currenciesFor(db);
  const right = `one of ${known.join(', ')}, or enter an exchange rate for it first`;
  return ({ currency }) =>
    typeof currency !== 'string' || known.includes(currency)
      ? []
      : [{ field: 'currency', value: currency, wrong: `there is no exchange rate for ${currency}`, right }];
}

type WidthRule = (row: Row) => Fault[];

async function allSlitters(db: Knex): Promise<Row[]> {
  const all = { page: 1, pageSize: 1000, sort: 'code', descending: false, filters: {}, search: '' };
  return (await selectRows(db, RESOURCES.slitters, all)).rows;
}

async function widthRule(db: Knex, resource: Resource, rows: readonly Row[]): Promise<WidthRule> {
  if (!['orders', 'rolls', 'offers'].includes(resource.name)) return () => [];
  const slitters = await allSlitters(db);
  if (slitters.length === 0) return () => [];
  if (resource.name === 'rolls') return (row) => checkRollWidth(row, 'widthUm', slitters);
  if (resource.name === 'offers')
    return (row) => [
      ...checkRollWidth(row, 'widthUm', slitters),
      ...checkRollWidth(row, 'widthMinUm', slitters),
    ];
  const codes = [...new Set(rows.map((row) => String(row.product)))];
  const products = await findRows(db, RESOURCES.products, codes);
  const allowed = new Map(products.map((p) => [String(p.code).toLowerCase(), p.slitters as string[]]));
  return (row) => {
    const only = allowed.get(String(row.product).toLowerCase()) ?? [];
    return checkOrderWidth(
      row,
      only.length > 0 ? slitters.filter((s) => only.includes(String(s.code))) : slitters,
    );
  };
}

function checkRollWidth(row: Row, field: 'widthUm' | 'widthMinUm', slitters: readonly Row[]): Fault[] {
  const widthUm = row[field];
  if (typeof widthUm !== 'number') return [];
  const widest = Math.max(...slitters.map((slitter) => (slitter.maxWebWidthUm as number | null) ?? Infinity));
  if (widthUm <= widest) return [];
  const mm = umToMm(widthUm);
  return [
    {
      field,
      value: `${mm}`,
      wrong: `${mm} mm is wider than the web of any slitter`,
      right: `up to ${umToMm(widest)} mm`,
    },
  ];
}

/** Widest and narrowest strip that a slitter makes, in um: the web less both edge trims. */
function stripLimits(slitter: Row): { least: number; most: number } {
  const web = (slitter.maxWebWidthUm as number | null) ?? Infinity;
  const trims = (slitter.edgeTrimMinLeftUm as number) + (slitter.edgeTrimMinRightUm as number);
  return { least: (slitter.minStripWidthUm as number | null) ?? 0, most: web - trims };
}

function checkOrderWidth(row: Row, slitters: readonly Row[]): Fault[] {
  const width = row.widthUm;
  if (typeof width !== 'number') return [];
  const limits = slitters.map(stripLimits);
  if (limits.length === 0 || limits.some(({ least, most }) => width >= least && width <= most)) return [];
  const names = slitters.map((slitter) => slitter.code).join(', ');
  const most = Math.max(...limits.map((limit) => limit.most));
  const least = Math.min(...limits.map((limit) => limit.least));
  const mm = umToMm(width);
  const wrong =
    width > most
      ? `${mm} mm is wider than the web of any slitter for this product (${names}), less its edge trims`
      : `${mm} mm is narrower than the narrowest strip of any slitter for this product (${names})`;
  return [{ field: 'widthUm', value: `${mm}`, wrong, right: `${umToMm(least)} to ${umToMm(most)} mm` }];
}
