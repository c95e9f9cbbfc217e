// Film that comes late, with the orders that wait for it and whose they are: needs as filmNeeds works them out (through the
// newest plans where they cover an order, else by the grade named first for the product).
import type { Knex } from 'knex';
import { leftOpen } from '../../domain/lateFilm.ts';
import { type LineProgress, lateness, MAY_ARRIVE, toCome } from '../../domain/purchaseOrder.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { areaM2, type IsoDate } from '../../domain/units.ts';
import { type OrderProgress, selectOrders } from '../../store/purchaseOrders.ts';
import { namesOf } from '../tables/namesOf.ts';
import { filmNeeds, type GradeNeed, type OrderNeed } from './filmNeeds.ts';
import { type LateOutcome, lateOutcomes } from './lateOutcome.ts';

/** As far ahead as a late line can matter to orders that are open. */
const WEEKS = 52;

export interface LateLine {
  order: OrderProgress;
  line: LineProgress;
  why: 'confirmed late' | 'overdue';
  /** Orders that run short because of it, each once, with their customers by name. */
  hit: (OrderNeed & { customerName: string })[];
  /** All orders that take film of this grade, those that are hit among them. */
  sharing: string[];
  /** What came out when these were planned again because of it; undefined: they were not. */
  outcome: LateOutcome | undefined;
}

/** Late lines of one purchase order, or of all that are sent or confirmed. */
export async function lateFilm(db: Knex, today: IsoDate, code?: string): Promise<LateLine[]> {
  const orders = await selectOrders(db, { statuses: MAY_ARRIVE });
  const late = orders
    .filter((order) => code === undefined || order.code === code)
    .flatMap((order) =>
      order.lines.flatMap((line) => {
        const why = lateness(line, today);
        return why ? [{ order, line, why }] : [];
      }),
    );
  if (late.length === 0) return [];
  const { grades } = await filmNeeds(db, today, WEEKS);
  const found = late.map((one) => {
    const need = grades.find(({ grade }) => grade === one.line.grade);
    const sharing = [...new Set(need?.orders.map(({ order }) => order) ?? [])];
    return { ...one, hit: ordersHit(one, need), sharing };
  });
  const names = await namesOf(
    db,
    RESOURCES.customers,
    found.flatMap(({ hit }) => hit.map(({ customer }) => customer)),
  );
  const outcomes = await lateOutcomes(db, [...new Set(found.map(({ order }) => order.code))]);
  return found.map((one) => ({
    ...one,
    outcome: one.hit.length > 0 ? outcomes.get(one.order.code) : undefined,
    hit: one.hit.map((need) => ({ ...need, customerName: names.get(need.customer) ?? need.customer })),
  }));
}

function ordersHit(
  { order, line, why }: Omit<LateLine, 'hit' | 'sharing' | 'outcome'>,
  need: GradeNeed | undefined,
): OrderNeed[] {
  if (!need) return [];
  const others = need.coming
    .filter((one) => !(one.purchaseOrder === order.code && one.line === line.line))
    .map((one) => ({ day: (one.confirmedOn ?? one.wantedOn) as IsoDate, areaM2: one.areaM2 }));
  const hit = leftOpen({
    needs: need.orders,
    stockM2: need.releasedM2,
    others,
    late: {
      expectedOn: why === 'overdue' ? undefined : (line.confirmedOn ?? undefined),
      areaM2: toCome(line) * areaM2(line.widthUm, line.lengthMm),
    },
  });
  return [...new Map(hit.map((one) => [one.order, one])).values()];
}
