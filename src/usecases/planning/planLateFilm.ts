// Plans the orders again that late film hits, with those that take the same film: from the stock and the offers of today, and from film on the way as rolls that are
// there on the day on which they are expected. Film that is overdue has no such day and is left out. The plan says which orders
// come late, and by how much.
import type { Knex } from 'knex';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { type FilmComing, filmComing } from '../../store/filmNeeds.ts';
import { lateFilm } from '../buying/lateFilm.ts';
import { buildProblem } from './buildProblem.ts';
import { queuePlan, SECONDS_USUAL } from './queuePlan.ts';

/** Queues the plan. @returns its number. Refuses with nothing-to-plan, cannot-be-planned and plan-queue-full. */
export async function planLateFilm(db: Knex, purchaseOrder: string, today: IsoDate): Promise<number> {
  const late = await lateFilm(db, today, purchaseOrder);
  const hitting = late.filter(({ hit }) => hit.length > 0);
  const orders = [...new Set(hitting.flatMap(({ sharing }) => sharing))].sort();
  if (orders.length === 0) throw new Refusal('nothing-to-plan', { scope: [] });
  const frozen = await buildProblem(db, { orders, planOn: today });
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
  const title = `late film of ${purchaseOrder}, ${problem.orders.length} ${problem.orders.length === 1 ? 'order' : 'orders'}`;
  return queuePlan(db, { title, products, problem, secondsLimit: SECONDS_USUAL });
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
