// A coating record as typed, read against the stock: which film was taken, where it went, and whether the lot of coating
// was within its limits. What is wrong comes back by field; a field of a table row names its place, from 0.
import type { Knex } from 'knex';
import {
  BASE_FIELDS,
  JUMBO_FIELDS,
  LOSS_FIELDS,
  type LotChecks,
  outsideLimits,
} from '../../domain/coatingForm.ts';
import { layRun, type RunLoss } from '../../domain/coatingRun.ts';
import type { Field, Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import type { BadPlace } from '../../domain/rollMap.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { findRows } from '../../store/rows.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';
import { checkLot, HEAD, headFault, takenCodes } from './checkCoating.ts';
import type { BaseRoll, CoatingFault, Jumbo, ReadCoating, TableRow, TypedCoating } from './coating.ts';
import { readBases } from './readBases.ts';

const START_UP = 'coating start-up';

/** The faults, or the coating as it is to be written. */
export async function readCoating(
  db: Knex,
  typed: TypedCoating,
  today: string,
): Promise<{ coating: ReadCoating; faults?: undefined } | { faults: CoatingFault[] }> {
  const faults: CoatingFault[] = [];
  const { head, product } = await readHead(db, typed.head, faults);
  const bases = readRows('bases', BASE_FIELDS, typed.bases, faults);
  const losses = readRows('losses', LOSS_FIELDS, typed.losses, faults);
  const jumbos = readRows('jumbos', JUMBO_FIELDS, typed.jumbos, faults);
  faults.push(...(await takenCodes(db, jumbos)));
  if (faults.length > 0 || !product) return { faults };
  const film = await readBases(db, bases, product, today);
  if (film.faults.length > 0) return { faults: film.faults };
  const { startUpMm, dryGPerM2, coatFreeLeftUm, coatFreeRightUm } = { ...product, ...given(head) } as Record<
    string,
    number
  > as { startUpMm: number; dryGPerM2: number; coatFreeLeftUm: number; coatFreeRightUm: number };
  const widthUm = film.bases[0]?.row.widthUm as number;
  const edgesUm = { left: coatFreeLeftUm, right: coatFreeRightUm };
  if (edgesUm.left + edgesUm.right >= widthUm) return { faults: [nothingCoated(widthUm)] };
  const laid = layOut(film.bases, losses, jumbos, startUpMm ?? (product.coatingLossMm as number));
  if ('faults' in laid) return laid;
  const checks = head as unknown as LotChecks;
  const outside = outsideLimits(checks, String(head.viscosityUnit ?? ''));
  const made = jumbosOf(jumbos, laid.lengthsMm);
  const { run } = laid;
  return {
    coating: {
      product,
      head,
      checks,
      outside,
      dryGPerM2,
      edgesUm,
      widthUm,
      bases: film.bases,
      jumbos: made,
      run,
    },
  };
}

/** Only what is not empty. */
const given = (row: Row): Row =>
  Object.fromEntries(Object.entries(row).filter(([, value]) => value !== null));

async function readHead(db: Knex, typed: Typed, faults: CoatingFault[]) {
  const read = readFields(HEAD, complete(HEAD.fields, typed), 'auto');
  const head = read.given;
  faults.push(...read.faults, ...checkLot(head));
  const code = head.product;
  const [product] = code ? await findRows(db, RESOURCES.products, [String(code)]) : [];
  if (code && !product)
    faults.push(
      headFault('product', String(code), `there is no product ${code}`, 'a code from the list of products'),
    );
  if (product && (head.dryGPerM2 ?? product.dryGPerM2 ?? null) === null)
    faults.push(
      headFault(
        'dryGPerM2',
        '',
        `product ${product.code} has none entered`,
        'the dry coat weight of this run',
      ),
    );
  return { head, product };
}

const nothingCoated = (widthUm: number): CoatingFault =>
  headFault(
    'coatFreeRightUm',
    '',
    `both edges leave nothing coated of ${umToMm(widthUm)} mm`,
    'narrower edges',
  );

const complete = (fields: readonly Field[], typed: Typed): Typed =>
  Object.fromEntries(fields.map(({ name }) => [name, typed[name] ?? '']));

/** The rows of a table of the form in which something is typed. */
function readRows(
  list: 'bases' | 'losses' | 'jumbos',
  fields: readonly Field[],
  typed: readonly Typed[],
  faults: CoatingFault[],
): TableRow[] {
  return typed.flatMap((row, place) => {
    if (Object.values(row).every((text) => text.trim() === '')) return [];
    const read = readFields({ fields }, complete(fields, row), 'auto');
    faults.push(...read.faults.map((fault) => ({ ...fault, list, place })));
    return [{ place, given: read.given }];
  });
}

function layOut(
  bases: readonly BaseRoll[],
  losses: readonly TableRow[],
  jumbos: readonly TableRow[],
  startUpMm: number,
) {
  const inMm = bases.reduce((sum, { takenMm }) => sum + takenMm, 0);
  const lost: RunLoss[] = [
    { cause: START_UP, lengthMm: startUpMm, atMm: 0 },
    ...losses.map(({ given }) => given as unknown as RunLoss),
  ];
  const restMm = inMm - lost.reduce((sum, { lengthMm }) => sum + lengthMm, 0);
  const made = jumbos.map(({ given }) => given.madeMm as number | null);
  // One coated roll without a length takes what is left.
  const lengthsMm =
    jumbos.length <= 1 && (made[0] ?? null) === null ? [restMm] : made.map((length) => length ?? 0);
  const fault = (field: string, wrong: string, right: string): { faults: CoatingFault[] } => ({
    faults: [
      {
        list: field === 'madeMm' ? 'jumbos' : 'losses',
        place: 0,
        field,
        column: field === 'madeMm' ? 'Length (m)' : 'Lost (m)',
        value: '',
        wrong,
        right,
      },
    ],
  });
  if (restMm <= 0)
    return fault(
      'lengthMm',
      `all ${mmToM(inMm)} m that were taken are lost`,
      'more film taken, or less lost',
    );
  const laid = layRun(
    bases.map(({ row, takenMm }) => ({ lengthMm: takenMm, places: row.rollMap as BadPlace[] })),
    lost,
    lengthsMm,
  );
  if (laid.ok) return { run: laid.run, lengthsMm };
  if (laid.why === 'losses-overlap')
    return fault('lengthMm', 'two losses overlap, or one lies outside the run', 'each metre lost once');
  const off = `${mmToM(Math.abs(laid.missingMm))} m ${laid.missingMm > 0 ? 'are neither in a coated roll nor lost' : 'more came out than went in'}`;
  return fault(
    'madeMm',
    `${off}: ${mmToM(inMm)} m were taken, ${mmToM(inMm - restMm)} m lost`,
    `${mmToM(restMm)} m in the coated rolls, or other losses`,
  );
}

const jumbosOf = (jumbos: readonly TableRow[], lengthsMm: readonly number[]): Jumbo[] =>
  lengthsMm.map((lengthMm, i) => ({
    code: (jumbos[i]?.given.code as string | null | undefined) ?? null,
    lengthMm,
    weighedKg: (jumbos[i]?.given.massKg as number | null | undefined) ?? null,
  }));
