// Records a coating run: what the base rolls gave, what was lost and why, and the coated jumbos with their film, their
// coating and their part of the maps, all in one entry. Mass: each base roll's share by length, to the milligram; the
// coating by dry coat weight and coated area, or what the scale says more than the film.
import type { Knex } from 'knex';
import type { Piece } from '../../domain/coatingRun.ts';
import type { Row } from '../../domain/resource.ts';
import { type BadPlace, usedFrom } from '../../domain/rollMap.ts';
import { shared } from '../../domain/setCut.ts';
import { addMonths, areaM2, type IsoDate } from '../../domain/units.ts';
import { insertCoatingRun } from '../../store/coatingRuns.ts';
import { bookMovements, bookStatus, type Movement } from '../../store/ledger.ts';
import { insertNewRolls, nextRollCodes } from '../../store/newRolls.ts';
import { bookMaps, writeMap } from '../../store/rollMaps.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import type { BaseRoll, CoatingFault, ReadCoating, TypedCoating } from './coating.ts';
import { readCoating } from './readCoating.ts';

export type { CoatingFault, TypedCoating };

export interface CoatingAct {
  by: string;
  requestKey: string;
  today: IsoDate;
}

export async function recordCoating(
  db: Knex,
  typed: TypedCoating,
  { by, requestKey, today }: CoatingAct,
): Promise<Entered<CoatingFault[]>> {
  return enterOnce(db, { kind: 'coated', by, requestKey }, async (trx, entry) => {
    const read = await readCoating(trx, typed, today);
    if (read.faults) return read.faults;
    const weighed = weigh(read.coating);
    if ('faults' in weighed) return weighed.faults;
    await write(trx, entry, read.coating, weighed);
    return undefined;
  });
}

interface Weighed {
  /** mg of film in each piece, by jumbo and by loss, in the order of the run's pieces. */
  jumbos: number[][];
  losses: number[][];
  /** mg of coating on each jumbo. */
  coatingMg: number[];
}

const lengthOf = ({ fromMm, toMm }: Piece): number => toMm - fromMm;
const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);

/** What each base roll gives, in mg; all of it when all of it is taken. */
function givenMg({ row, takenMm }: BaseRoll): number {
  const wholeMg = Math.round((row.massKg as number) * 1e6);
  return shared(wholeMg, [takenMm, (row.lengthMm as number) - takenMm])[0] as number;
}

function weigh(coating: ReadCoating): Weighed | { faults: CoatingFault[] } {
  const { run, bases, jumbos, dryGPerM2, edgesUm, widthUm } = coating;
  const all = [...run.jumbos, ...run.losses].flatMap(({ pieces }) => pieces);
  const mg = new Map<Piece, number>();
  bases.forEach((base, index) => {
    const own = all.filter((piece) => piece.base === index);
    shared(givenMg(base), own.map(lengthOf)).forEach((share, i) => {
      mg.set(own[i] as Piece, share);
    });
  });
  const massesOf = ({ pieces }: { pieces: Piece[] }) => pieces.map((piece) => mg.get(piece) as number);
  const filmMg = run.jumbos.map(massesOf);
  const coatedUm = widthUm - edgesUm.left - edgesUm.right;
  const coatingMg = jumbos.map(({ lengthMm, weighedKg }, i) =>
    weighedKg === null
      ? Math.round(areaM2(coatedUm, lengthMm) * dryGPerM2 * 1000)
      : Math.round(weighedKg * 1e6) - sum(filmMg[i] as number[]),
  );
  const faults = coatingMg.flatMap((more, i) => (more >= 0 ? [] : [tooLight(i, jumbos[i]?.weighedKg, more)]));
  if (faults.length > 0) return { faults };
  return { jumbos: filmMg, losses: run.losses.map(massesOf), coatingMg };
}

function tooLight(place: number, weighedKg: number | null | undefined, moreMg: number): CoatingFault {
  const filmKg = (weighedKg ?? 0) - moreMg / 1e6;
  return {
    list: 'jumbos',
    place,
    field: 'massKg',
    column: 'Mass, weighed (kg)',
    value: String(weighedKg),
    wrong: `its film alone is ${filmKg.toFixed(3)} kg by its share of the base rolls`,
    right: 'the net mass of the coated roll, or nothing: then it is computed',
  };
}

async function write(trx: Knex, entry: number, coating: ReadCoating, weighed: Weighed): Promise<void> {
  const { head, product, checks, outside, run, bases } = coating;
  const fresh = await nextRollCodes(trx, 'C', coating.jumbos.filter(({ code }) => code === null).length);
  const codes = coating.jumbos.map(({ code }) => code ?? (fresh.shift() as string));
  await insertCoatingRun(trx, {
    ...checks,
    entry,
    product: String(product.code),
    coatedOn: String(head.coatedOn),
    lot: String(head.lot),
    viscosityUnit: (head.viscosityUnit as string | null) ?? null,
    withinLimits: outside.length === 0,
    dryGPerM2: coating.dryGPerM2,
    coatFreeLeftUm: coating.edgesUm.left,
    coatFreeRightUm: coating.edgesUm.right,
  });
  const costs = jumboCosts(coating);
  const rows = codes.map((code, i) => {
    const { map = [], pieces = [] } = run.jumbos[i] ?? {};
    return { ...jumboRow(coating, code, map, costs[i] ?? null), splices: Math.max(0, pieces.length - 1) };
  });
  await insertNewRolls(trx, entry, rows);
  await bookMovements(trx, entry, movementsOf(coating, weighed, codes));
  const maps = bases.map(({ row, takenMm }) => {
    const before = row.rollMap as BadPlace[];
    return { roll: String(row.code), before, after: usedFrom(before, takenMm) };
  });
  for (const { roll, after } of maps) await writeMap(trx, roll, after);
  await bookMaps(trx, entry, maps);
  const empty = bases
    .filter(({ row, takenMm }) => takenMm === row.lengthMm)
    .map(({ row }) => String(row.code));
  await bookStatus(trx, entry, empty, 'used up');
}

function jumboRow(
  { head, product, outside, widthUm, edgesUm }: ReadCoating,
  code: string,
  map: BadPlace[],
  costPerRoll: number | null,
): Row {
  const months = product.shelfLifeMonths as number | null;
  const coatedOn = head.coatedOn as IsoDate;
  return {
    code,
    kind: 'coated',
    item: product.code,
    widthUm,
    lot: head.lot,
    location: head.location ?? null,
    receivedOn: coatedOn,
    useBy: months === null ? null : addMonths(coatedOn, months),
    status: outside.length > 0 ? 'on hold' : head.status,
    costPerRoll,
    note: outside.length > 0 ? outside.join('; ') : null,
    rollMap: [...map, ...widerEdges(product, edgesUm, widthUm)],
  };
}

/** Edges wider than those that the product counts on are bad lanes. */
function widerEdges(product: Row, { left, right }: ReadCoating['edgesUm'], widthUm: number): BadPlace[] {
  const lane = (fromUm: number, toUm: number | null): BadPlace => ({
    fromMm: 0,
    toMm: null,
    fromUm,
    toUm,
    kind: 'coat-free edge',
  });
  return [
    ...(left > (product.coatFreeLeftUm as number) ? [lane(0, left)] : []),
    ...(right > (product.coatFreeRightUm as number) ? [lane(widthUm - right, null)] : []),
  ];
}

/** Film at what it stood in the books for, and coating at its cost, by length; null when a base roll has no cost. */
function jumboCosts({ bases, jumbos, product, widthUm, edgesUm }: ReadCoating): (number | null)[] {
  const costs = bases.map(({ row, takenMm }) =>
    row.costPerRoll === null ? Number.NaN : (Number(row.costPerRoll) * takenMm) / (row.lengthMm as number),
  );
  const madeMm = sum(jumbos.map(({ lengthMm }) => lengthMm));
  return jumbos.map(({ lengthMm }) => {
    const coating =
      areaM2(widthUm - edgesUm.left - edgesUm.right, lengthMm) * Number(product.coatingCostPerM2);
    const cost = (sum(costs) * lengthMm) / madeMm + coating;
    return Number.isNaN(cost) ? null : Math.round(cost * 100) / 100;
  });
}

function movementsOf({ run, bases, jumbos }: ReadCoating, weighed: Weighed, codes: string[]): Movement[] {
  const code = ({ base }: Piece) => String(bases[base]?.row.code);
  const made = run.jumbos.flatMap(({ pieces }, i) =>
    [...new Set(pieces.map(code))].map((base) => {
      const ofBase = (of: (piece: Piece, k: number) => number) =>
        sum(pieces.map((piece, k) => (code(piece) === base ? of(piece, k) : 0)));
      const massMg = ofBase((_piece, k) => weighed.jumbos[i]?.[k] as number);
      return { roll: codes[i] as string, base, lengthMm: ofBase(lengthOf), massMg };
    }),
  );
  const lost = run.losses.flatMap(({ cause, pieces }, i) =>
    pieces.map((piece, k) => ({
      roll: code(piece),
      cause,
      lengthMm: -lengthOf(piece),
      massMg: -(weighed.losses[i]?.[k] as number),
    })),
  );
  return [
    ...bases.map(({ row }): Movement => {
      const own = made.filter(({ base }) => base === row.code);
      return {
        roll: String(row.code),
        side: 'out',
        cause: 'coated',
        lengthMm: -sum(own.map(({ lengthMm }) => lengthMm)),
        massMg: -sum(own.map(({ massMg }) => massMg)),
      };
    }),
    ...lost.map((one): Movement => ({ ...one, side: 'loss' })),
    ...made.map(
      ({ roll, base, lengthMm, massMg }): Movement => ({
        roll,
        side: 'in',
        cause: 'made',
        lengthMm,
        massMg,
        madeOf: base,
      }),
    ),
    ...jumbos.map(
      (_jumbo, i): Movement => ({
        roll: codes[i] as string,
        side: 'in',
        cause: 'coating',
        lengthMm: 0,
        massMg: weighed.coatingMg[i] as number,
      }),
    ),
  ];
}
