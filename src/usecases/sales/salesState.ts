// Freezes what a question about a product is answered from: its open orders and held quotes, its stock, film and offers,
// finished rolls on the shelf, less the film and the hours of slitters that other products' promises and open orders need.
// The hash of it tells whether an answer still stands.
import { createHash } from 'node:crypto';
import type { Knex } from 'knex';
import type { SalesState } from '../../domain/answer.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { areaM2, type IsoDate, mmToUm, mToMm } from '../../domain/units.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import { freeFinishedRolls, promisedFilm } from '../../store/promises.ts';
import { freezeProblem } from '../planning/buildProblem.ts';
import { stockAgainstOrders } from '../planning/stockAgainstOrders.ts';
import { withHoursOfOthers } from './hoursOfOthers.ts';

/** Film for trim, lead-in and coating loss beside the area of open orders. Common practice, no source. */
const FILM_FOR_AREA = 1.15;

export interface FrozenState {
  state: SalesState;
  hash: string;
}

/** The state of a product at this moment, in one snapshot. */
export async function salesState(db: Knex, today: IsoDate, product: string): Promise<FrozenState> {
  return db.transaction((trx) => freezeState(trx, today, product), {
    isolationLevel: 'repeatable read',
    readOnly: true,
  });
}

/** The same within a transaction of the caller's. */
export async function freezeState(trx: Knex, today: IsoDate, product: string): Promise<FrozenState> {
  const [known] = await rowsByCode(trx, 'products', [product]);
  if (!known) throw new Refusal('not-found', { what: 'product', code: product });
  const scope = { products: [product], asking: true, fill: true, planOn: today };
  const document = await freezeProblem(trx, scope);
  const setAside = await filmForOthers(trx, today, product, document.rolls ?? []);
  const gone = new Set(setAside.flatMap(({ rolls }) => rolls));
  const rolls = document.rolls?.filter(({ id }) => !gone.has(id)) ?? [];
  const slitters = await withHoursOfOthers(trx, today, product, document.slitters);
  const finished = await freeFinishedRolls(trx, product, today);
  const state: SalesState = {
    today,
    product,
    document: { ...document, slitters, rolls },
    finished,
    setAside,
  };
  return { state, hash: hashOf(state) };
}

const HASH_DIGITS = 12;
const hashOf = (state: SalesState): string =>
  createHash('sha256').update(JSON.stringify(state)).digest('hex').slice(0, HASH_DIGITS);

/** Film that is promised to other products, roll by roll; then whole rolls for what their open orders still lack. */
async function filmForOthers(
  trx: Knex,
  today: IsoDate,
  product: string,
  rolls: NonNullable<SalesState['document']['rolls']>,
): Promise<SalesState['setAside']> {
  const film = rolls.filter(({ kind }) => kind === 'base');
  if (film.length === 0) return [];
  const promised = await promisedFilm(trx);
  const free = new Map(film.map((roll) => [roll.id, roll]));
  const setAside: SalesState['setAside'] = [];
  const areaOf = new Map<string, number>();
  for (const { product: other, roll } of promised) {
    const found = free.get(roll);
    free.delete(roll);
    if (!found || other === product) continue;
    areaOf.set(other, (areaOf.get(other) ?? 0) + areaM2(mmToUm(found.widthMm), mToMm(found.lengthM)));
    const line = setAside.find((one) => one.product === other);
    if (line) line.rolls.push(roll);
    else setAside.push({ product: other, rolls: [roll], why: 'promised' });
  }
  const balances = await stockAgainstOrders(trx, today);
  for (const other of balances.filter((one) => one.product !== product && one.shortM2 > 0)) {
    let lacking = FILM_FOR_AREA * other.shortM2 - (areaOf.get(other.product) ?? 0);
    const taken: string[] = [];
    for (const [id, roll] of free) {
      if (lacking <= 0) break;
      if (!other.grades.includes(roll.item ?? '')) continue;
      free.delete(id);
      taken.push(id);
      lacking -= areaM2(mmToUm(roll.widthMm), mToMm(roll.lengthM));
    }
    if (taken.length > 0) setAside.push({ product: other.product, rolls: taken, why: 'open orders' });
  }
  return setAside;
}

/** What is stored can make no valid problem: say it as the planner says it. */
export function refuseFaulty(state: SalesState): void {
  if (state.document.orders.length === 0) return;
  const read = parseProblem(state.document);
  if (!read.ok)
    throw new Refusal('cannot-be-planned', {
      product: state.product,
      faults: read.faults
        .slice(0, 3)
        .map(({ path, wrong, right }) => `${path} ${wrong}; right would be ${right}`),
    });
}
