// Plans the orders again that late film hits, with those that take the same film: from the stock and the offers of today, and
// from film on the way as rolls that are there on the day on which they are expected. Film that is overdue has no such day and is
// left out. The plan says which orders come late, and by how much. It is asked for by itself, once for each cause, and by a button.
import { group } from 'd3-array';
import type { Knex } from 'knex';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { type FilmComing, filmComing } from '../../store/filmNeeds.ts';
import {
  causeKey,
  dropWaiting,
  keepReplan,
  knownCauses,
  type LateReplan,
  promisedDays,
  setReplanPlan,
} from '../../store/lateReplans.ts';
import type { NewPlan } from '../../store/plans.ts';
import { type LateLine, lateFilm } from '../buying/lateFilm.ts';
import { buildProblem } from './buildProblem.ts';
import { queuePlan, SECONDS_USUAL } from './queuePlan.ts';

/** Queues the plan, also when its cause was planned before. @returns its number. Refuses with nothing-to-plan, cannot-be-planned and plan-queue-full. */
export async function planLateFilm(db: Knex, purchaseOrder: string, today: IsoDate): Promise<number> {
  const late = (await lateFilm(db, today, purchaseOrder)).filter(({ hit }) => hit.length > 0);
  if (late.length === 0) throw new Refusal('nothing-to-plan', { scope: [] });
  const plan = await lateProblem(db, late, today);
  return (await keepAndQueue(db, late, today, plan, true)) as number;
}

/** Causes that are planned in one go; the next go takes the rest. */
const MOST_AT_ONCE = 10;
const NOT_TO_BE_PLANNED: readonly string[] = ['nothing-to-plan', 'cannot-be-planned', 'no-slitter'];

/**
 * Queues a plan for each purchase order whose late film hits orders and whose cause is new; what cannot be planned is kept with
 * the reason. A cause is planned once, however often this runs. @returns the plans' numbers. Refuses with plan-queue-full.
 */
export async function replanLateFilm(db: Knex, today: IsoDate): Promise<number[]> {
  const hitting = (await lateFilm(db, today)).filter(({ hit }) => hit.length > 0);
  const byOrder = [...group(hitting, ({ order }) => order.code)];
  const known = await knownCauses(
    db,
    byOrder.map(([code]) => code),
  );
  const fresh = byOrder.filter(([code, late]) => !known.has(causeKey(code, causeOf(late))));
  const queued: number[] = [];
  for (const [, late] of fresh.slice(0, MOST_AT_ONCE)) {
    const plan = await lateProblem(db, late, today).catch((error: unknown) => {
      if (error instanceof Refusal && NOT_TO_BE_PLANNED.includes(error.code)) return error.message;
      throw error;
    });
    const id = await keepAndQueue(db, late, today, plan, false);
    if (id !== undefined) queued.push(id);
  }
  return queued;
}

/** Which lines are late, since when: the same words on every day until the supplier says another. */
const causeOf = (late: readonly LateLine[]): string =>
  late
    .map(({ line, why }) => `line ${line.line} ${why}: ${line.wantedOn ?? ''} ${line.confirmedOn ?? ''}`)
    .sort()
    .join('; ');

/** The cause and its plan, both or neither; a plan that waits for an older cause of the same order goes. */
async function keepAndQueue(
  db: Knex,
  late: readonly LateLine[],
  today: IsoDate,
  plan: NewPlan | string,
  anew: boolean,
): Promise<number | undefined> {
  const purchaseOrder = (late[0] as LateLine).order.code;
  const replan: LateReplan = {
    ...{ purchaseOrder, cause: causeOf(late), askedOn: today, plan: undefined },
    trouble: typeof plan === 'string' ? plan : undefined,
    promised: await promisedDays(db, sharing(late)),
  };
  return db.transaction(async (trx) => {
    if (!(await keepReplan(trx, replan, anew))) return undefined;
    await dropWaiting(trx, purchaseOrder);
    if (typeof plan === 'string') return undefined;
    const id = await queuePlan(trx, plan);
    await setReplanPlan(trx, purchaseOrder, replan.cause, id);
    return id;
  });
}

const sharing = (late: readonly LateLine[]): string[] =>
  [...new Set(late.flatMap((one) => one.sharing))].sort();

async function lateProblem(db: Knex, late: readonly LateLine[], today: IsoDate): Promise<NewPlan> {
  const frozen = await buildProblem(db, { orders: sharing(late), planOn: today });
  const problem = withFilmComing(frozen, await filmComing(db), today);
  const products = [...new Set(problem.orders.map(({ product }) => product))].sort();
  const read = parseProblem(problem);
  if (!read.ok)
    throw new Refusal('cannot-be-planned', {
      product: products.join(', '),
      faults: read.faults
        .slice(0, 3)
        .map(({ path, wrong, right }) => `${path} ${wrong}; right would be ${right}`),
    });
  const title = `late film of ${(late[0] as LateLine).order.code}, ${problem.orders.length} ${problem.orders.length === 1 ? 'order' : 'orders'}`;
  return { title, products, problem, secondsLimit: SECONDS_USUAL };
}

function withFilmComing(
  problem: ProblemDocument,
  coming: readonly FilmComing[],
  today: IsoDate,
): ProblemDocument {
  const grades = new Set((problem.grades ?? []).map(({ id }) => id));
  const rolls = coming.flatMap((line) => {
    const day = line.confirmedOn ?? line.wantedOn;
    if (!grades.has(line.grade) || day === null || day < today) return [];
    return [
      {
        ...{ id: `${line.purchaseOrder} line ${line.line}`, kind: 'base' as const, item: line.grade },
        ...{ widthMm: umToMm(line.widthUm), lengthM: mmToM(line.lengthMm), count: line.rolls, readyOn: day },
      },
    ];
  });
  return { ...problem, rolls: [...(problem.rolls ?? []), ...rolls] };
}
