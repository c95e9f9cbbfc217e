// What the existing orders keep, brought up to date when stock or orders have changed. What they kept before is carried
// over first: runs that can still be made stay, and only what is new or has lost its rolls is planned around them. So
// nobody who was promised rolls by a day loses them to a plan that happens to come out otherwise. Where that leaves
// somebody short or late who need not be, everything is planned afresh.
import type { Kept, ProblemOrder, SalesState } from '../../domain/answer.ts';
import { acceptedRolls } from '../../domain/filmMath.ts';
import { type PlanControl, type Run, untimed } from '../../domain/plan.ts';
import { keptOf, NOTHING_KEPT } from './askKept.ts';
import { existingAlone } from './askProblems.ts';
import { firstPlan, type Patience, planned } from './askTrials.ts';

/** So many orders are planned while somebody waits; with more of them the plan is made in the background. */
const FEW = 12;
/** Working the plan out afresh may take so many looks for a better one. */
const BETTERINGS = 0;

/** What the existing orders keep, as far as it can be had at once; undefined where it takes longer. */
export function keptAtOnce(
  state: SalesState,
  before: Kept | undefined,
  control: PlanControl,
): Kept | undefined {
  if (state.document.orders.length === 0) return NOTHING_KEPT;
  const carried = before && carriedOver(state, before, control);
  if (carried && worseOff(state, carried, before).length === 0) return carried;
  return isFew(state) ? (fresh(state, control) ?? carried) : undefined;
}

export const isFew = ({ document }: SalesState): boolean => document.orders.length <= FEW;

/** What the existing orders keep, however long it takes. */
export function keptInTime(
  state: SalesState,
  before: Kept | undefined,
  control: PlanControl,
  patience: Patience = firstPlan(BETTERINGS),
): Kept {
  if (state.document.orders.length === 0) return NOTHING_KEPT;
  const carried = before && carriedOver(state, before, control, Number.POSITIVE_INFINITY);
  if (carried && worseOff(state, carried, before).length === 0) return carried;
  const anew = fresh(state, control, patience);
  const found = anew && carried ? fairer(state, before, carried, anew) : (anew ?? carried);
  if (!found) throw new Error(`the open orders of ${state.product} cannot be planned as they are stored`);
  return found;
}

function fresh(state: SalesState, control: PlanControl, patience: Patience = firstPlan(BETTERINGS)) {
  const made = planned(existingAlone(state), patience(control));
  return made && keptOf(made.document, made.plan);
}

const fairer = (state: SalesState, before: Kept | undefined, a: Kept, b: Kept): Kept =>
  worseOff(state, b, before).length <= worseOff(state, a, before).length ? b : a;

/** Orders that have fewer rolls, or have them later, than they kept before; of new ones, than they ask for. */
function worseOff({ document }: SalesState, now: Kept, before: Kept | undefined): string[] {
  const had = new Map(before?.orders.map((one) => [one.id, one]));
  const has = new Map(now.orders.map((one) => [one.id, one]));
  return document.orders.flatMap((order) => {
    const { id, dueOn } = order;
    const [was, is] = [had.get(id), has.get(id)];
    const rolls = Math.min(was?.rolls ?? Number.POSITIVE_INFINITY, limitsOf(order).minRolls);
    const by = latest(was?.by, dueOn);
    const worse = (is?.rolls ?? 0) < rolls || (by !== undefined && (is?.by ?? '9') > by);
    return worse ? [id] : [];
  });
}

const latest = (a: string | undefined, b: string | undefined): string | undefined =>
  a === undefined ? b : b === undefined || a > b ? a : b;

const limitsOf = ({ rolls, overPct = 0, underPct = 0 }: ProblemOrder) =>
  acceptedRolls(rolls, overPct, underPct);

/** undefined where too much has to be planned anew, or where what is left of the old plan breaks a limit of today. */
function carriedOver(
  state: SalesState,
  before: Kept,
  control: PlanControl,
  mostAnew = FEW,
): Kept | undefined {
  const { runs, made } = runsThatStand(state, before);
  if (runs.length === 0) return undefined;
  const anew = state.document.orders.filter((order) => (made.get(order.id) ?? 0) < limitsOf(order).minRolls);
  if (anew.length > mostAnew) return undefined;
  const locks = runs.map(untimed);
  const found = planned({ ...existingAlone(state), locks }, firstPlan(BETTERINGS)(control));
  return found && keptOf(found.document, found.plan);
}

/** Runs whose rolls are still there and whose strips are still asked for, in their order. */
function runsThatStand({ document }: SalesState, before: Kept): { runs: Run[]; made: Map<string, number> } {
  const rolls = new Set((document.rolls ?? []).map(({ id }) => id));
  const most = new Map(document.orders.map((order) => [order.id, limitsOf(order).maxRolls]));
  const made = new Map<string, number>();
  const runs = before.runs.filter(({ strips, sets, from }) => {
    const owners = strips.flatMap(({ order }) => (order === undefined ? [] : [order]));
    const after = new Map<string, number>();
    for (const id of owners) after.set(id, (after.get(id) ?? made.get(id) ?? 0) + sets);
    const stands =
      from.every(({ roll }) => rolls.has(roll)) &&
      [...after].every(([id, count]) => count <= (most.get(id) ?? 0));
    if (stands) for (const [id, count] of after) made.set(id, count);
    return stands;
  });
  return { runs, made };
}
