// What came out when orders were planned again because film is late: which orders of which customers come later than they were
// promised, or fall short, and by how much.
import type { Knex } from 'knex';
import { RESOURCES } from '../../domain/resources.ts';
import { daysBetween, type IsoDate } from '../../domain/units.ts';
import { newestReplans, type ReplanSeen } from '../../store/lateReplans.ts';
import { namesOf } from '../tables/namesOf.ts';

export interface OrderHit {
  order: string;
  customerName: string;
  promisedOn: IsoDate | undefined;
  /** The day on which the plan has all of it; undefined when it falls short of all. */
  newOn: IsoDate | undefined;
  /** Later than promised; undefined where one of the days is not known. */
  days: number | undefined;
  /** Rolls that it falls short. */
  short: number;
}

export interface LateOutcome {
  purchaseOrder: string;
  plan: number | undefined;
  state: 'waiting' | 'running' | 'done' | 'failed' | 'cancelled' | 'not planned';
  /** Why it failed, or could not be planned. */
  trouble: string | undefined;
  /** Orders that come later than promised or fall short, the latest first. */
  hit: OrderHit[];
  /** Orders that were planned again. */
  planned: number;
}

/** The newest of each of these purchase orders, by code. */
export async function lateOutcomes(
  db: Knex,
  purchaseOrders: readonly string[],
): Promise<Map<string, LateOutcome>> {
  const seen = await newestReplans(db, purchaseOrders);
  const names = await namesOf(
    db,
    RESOURCES.customers,
    seen.flatMap(({ promised }) => promised.map(({ customer }) => customer)),
  );
  return new Map(seen.map((one) => [one.purchaseOrder, outcomeOf(one, names)]));
}

function outcomeOf(seen: ReplanSeen, names: ReadonlyMap<string, string>): LateOutcome {
  const { purchaseOrder, plan, status, trouble, error, promised, outcomes } = seen;
  const hit = promised.flatMap(({ order, customer, promisedOn }) => {
    const made = outcomes.find(({ id }) => id === order);
    if (!made) return [];
    const newOn = made.readyOn as IsoDate | undefined;
    const days = promisedOn && newOn ? Math.max(0, daysBetween(promisedOn, newOn)) : undefined;
    if (!days && made.short === 0) return [];
    const one = { order, customerName: names.get(customer) ?? customer, newOn, days, short: made.short };
    return [{ ...one, promisedOn: promisedOn ?? undefined }];
  });
  return {
    ...{ purchaseOrder, plan, trouble: trouble ?? error, planned: outcomes.length },
    state: plan === undefined || !status ? 'not planned' : status === 'queued' ? 'waiting' : status,
    hit: hit.sort((a, b) => (b.days ?? 0) - (a.days ?? 0) || a.order.localeCompare(b.order)),
  };
}
