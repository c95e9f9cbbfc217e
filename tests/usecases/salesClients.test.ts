// Several sellers at once on three products that share film: they ask and promise in any order, orders and quotes, and some
// quotes lapse in between. After each act, everything that is promised and held on each product has its rolls and its day in
// the plan that its orders keep on the state of that moment, whatever was promised from the same film and the same hours,
// and no roll of film is promised to two products. LANEWRIGHT_MANY: turns of each client; LANEWRIGHT_FROM: other seeds.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { canPromise } from '../../src/domain/answer.ts';
import { acceptedRolls } from '../../src/domain/filmMath.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { addDays } from '../../src/domain/units.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { findState, newestKept } from '../../src/store/answers.ts';
import { keptInTime } from '../../src/usecases/sales/askBaseline.ts';
import { freezeState } from '../../src/usecases/sales/salesState.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { seeded } from '../planner/reference/randomProblem.ts';
import { freshDatabase } from '../support/database.ts';
import { ask, forSeconds, promise, refined, SALES_DAY } from '../support/sales.ts';

const CLIENTS = 4;
const TURNS = Number(process.env.LANEWRIGHT_MANY ?? 5);
const SHARE_WHO_WAIT = 0.3;
const FIRST_SEED = Number(process.env.LANEWRIGHT_FROM ?? 100);
/** They share the grades BF-08 and BF-09. */
const SIZES = [
  { product: 'CP-60', widthUm: 30_000, lengthMm: 122_000, most: 60 },
  { product: 'CP-80', widthUm: 145_000, lengthMm: 1_000_000, most: 12 },
  { product: 'CP-95', widthUm: 100_000, lengthMm: 1_500_000, most: 8 },
];

let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, SALES_DAY);
}, 60_000);

async function oneTurn(random: () => number): Promise<'promised' | 'changed' | 'no'> {
  const { most, ...size } = SIZES[Math.floor(random() * SIZES.length)]!;
  const rolls = 1 + Math.floor(random() * most);
  const dueOn = random() < 0.6 ? addDays(SALES_DAY, Math.floor(90 * random())) : undefined;
  const { id, answer: first } = await ask(db, { ...size, rolls, dueOn });
  // Some wait for the second look: earliest days and parts by a day are promised too.
  const waits = first.verdict === 'latest' && random() < SHARE_WHO_WAIT;
  const answer = waits ? (await refined(db, id)).answer : first;
  const quote = random() < 0.3;
  if (!canPromise(answer)) return 'no';
  try {
    const made = await promise(
      db,
      id,
      quote ? { kind: 'quote', hours: random() < 0.5 ? '0.0001' : '5' } : {},
    );
    if (!made.ok) throw new Error(JSON.stringify(made.faults));
  } catch (error) {
    if ((error as { code?: string }).code === 'no-longer-so') return 'changed';
    throw error;
  }
  if (answer.evidence) {
    const read = parseProblem(answer.evidence.document);
    expect(read.ok && checkPlan(read.problem, answer.evidence.plan)).toEqual([]);
  }
  return 'promised';
}

/** What is promised and held now, against the plan that the product's orders keep. */
async function expectAllKept(product: string): Promise<void> {
  // One snapshot: others go on promising meanwhile.
  await db.transaction((trx) => expectKeptIn(trx, product), { isolationLevel: 'repeatable read' });
}

async function expectKeptIn(trx: Knex, product: string): Promise<void> {
  const { state, hash } = await freezeState(trx, SALES_DAY, product);
  const known = (await findState(trx, hash))?.kept;
  const kept = known ?? keptInTime(state, await newestKept(trx, product), forSeconds(120));
  const promised = await trx('promises as p')
    .join('order_lines as o', 'o.code', 'p.order_line')
    .where('o.product', product)
    .where('o.status', '<>', 'made')
    .whereNull('p.ended')
    .where((held) => held.whereNull('p.until').orWhereRaw('p.until > now()'))
    .select('o.code', 'o.rolls', 'o.under_pct', 'p.promised_on');
  const keeps = new Map(kept.orders.map((one) => [one.id, one]));
  for (const { code, rolls, under_pct, promised_on } of promised) {
    const least = acceptedRolls(rolls, 0, Number(under_pct)).minRolls;
    expect(keeps.get(code)?.rolls ?? 0, code).toBeGreaterThanOrEqual(least);
    expect(keeps.get(code)!.by! <= promised_on, `${code} by ${promised_on}`).toBe(true);
  }
}

describe('sellers at the same time', () => {
  it('never break a promise that was made before', { timeout: 900_000 }, async () => {
    const told = { promised: 0, changed: 0, no: 0 };
    const client = async (seed: number) => {
      const random = seeded(seed);
      for (let turn = 0; turn < TURNS; turn++) {
        told[await oneTurn(random)] += 1;
        for (const { product } of SIZES) await expectAllKept(product);
      }
    };
    await Promise.all(Array.from({ length: CLIENTS }, (_, k) => client(FIRST_SEED + k)));
    if (process.env.LANEWRIGHT_MANY) console.log(told);
    expect(told.promised).toBeGreaterThan(3);
    expect(told.promised + told.changed + told.no).toBe(CLIENTS * TURNS);
    const twice = await db('promised_rolls as h')
      .join('promises as p', 'p.id', 'h.promise')
      .join('order_lines as o', 'o.code', 'p.order_line')
      .join('rolls as r', 'r.code', 'h.roll')
      .where('r.kind', 'base')
      .whereNull('p.ended')
      .where((held) => held.whereNull('p.until').orWhereRaw('p.until > now()'))
      .groupBy('h.roll')
      .havingRaw('count(distinct o.product) > 1')
      .pluck('h.roll');
    expect(twice).toEqual([]);
  });
});
