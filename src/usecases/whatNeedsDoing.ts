// What the stock and the orders ask of each user today, as facts; the first page puts them into words.
// Nothing here is stored or decided: every line points to where a person decides.
import type { Knex } from 'knex';
import { addDays, type IsoDate } from '../domain/units.ts';
import {
  anythingYet,
  type OrderDue,
  ordersDueUpTo,
  type RollsWanted,
  type RollToSee,
  rollsToSee,
  type Some,
  stubsToUse,
} from '../store/needs.ts';
import { type LateLine, lateFilm } from './buying/lateFilm.ts';
import { listPlans, type PlanSummary } from './planning/listPlans.ts';
import { type ProductBalance, stockAgainstOrders } from './planning/stockAgainstOrders.ts';

export type { OrderDue, RollToSee, Some };

/** How many days ahead an order counts as due soon. Default, not a rule of the trade. */
export const DUE_SOON_DAYS = 7;
/** How many days ahead a roll counts as expiring soon. Default, not a rule of the trade. */
export const EXPIRES_SOON_DAYS = 30;

/** So many rolls are named of each kind of need; the totals count all of them. */
export const MOST_NAMED = 6;
/** So many plans are told of on the first page. */
const PLANS_NAMED = 3;

/** Rolls that wait for a decision or near their use-by day, film or coated. */
export interface RollNeeds {
  onHold: Some<RollToSee>;
  inQuarantine: Some<RollToSee>;
  expired: Some<RollToSee>;
  expiring: Some<RollToSee>;
}

export interface Needs {
  yet: { rolls: boolean; orders: boolean };
  /** Due before today, not done; planned ones too. */
  late: OrderDue[];
  /** Due within DUE_SOON_DAYS and not planned. */
  soon: OrderDue[];
  /** Products whose orders ask for more than is coated. */
  short: ProductBalance[];
  film: RollNeeds;
  /** Ordered film that is late, with the orders it hits. */
  lateFilm: LateLine[];
  coated: RollNeeds;
  stubs: Awaited<ReturnType<typeof stubsToUse>>;
  /** The newest plans, and how many there are in all. */
  plans: { rows: PlanSummary[]; total: number };
}

/** Everything that needs doing on this day. */
export async function whatNeedsDoing(db: Knex, today: IsoDate): Promise<Needs> {
  const [yet, due, balances, film, coated, stubs, plans, late] = await Promise.all([
    anythingYet(db),
    ordersDueUpTo(db, addDays(today, DUE_SOON_DAYS)),
    stockAgainstOrders(db, today),
    rollNeeds(db, today, true),
    rollNeeds(db, today, false),
    stubsToUse(db, today, MOST_NAMED),
    listPlans(db, { page: 1, pageSize: PLANS_NAMED }),
    lateFilm(db, today),
  ]);
  return {
    yet,
    late: due.filter((order) => order.dueOn < today),
    soon: due.filter((order) => order.dueOn >= today && order.status === 'open'),
    short: balances.filter((balance) => balance.shortM2 > 0),
    film,
    lateFilm: late,
    coated,
    stubs,
    plans,
  };
}

async function rollNeeds(db: Knex, today: IsoDate, film: boolean): Promise<RollNeeds> {
  const find = (wanted: Omit<RollsWanted, 'film'>) => rollsToSee(db, { film, ...wanted }, MOST_NAMED);
  const [onHold, inQuarantine, expired, expiring] = await Promise.all([
    find({ status: 'on hold' }),
    find({ status: 'in quarantine' }),
    find({ upTo: addDays(today, -1) }),
    find({ from: today, upTo: addDays(today, EXPIRES_SOON_DAYS) }),
  ]);
  return { onHold, inQuarantine, expired, expiring };
}
