// What a plan buys and coats, as rows of texts, and which orders wait for it. Pure view model.
import type { CoatingStep, Plan, Purchase } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { rollNames } from '../drawings/picturePlan.ts';
import { purchaseOf } from '../drawings/webRolls.ts';
import { andList, grouped } from '../words.ts';
import { money } from './planWords.ts';

/** One row a purchase, in the order of the plan. */
export function purchaseRows(plan: Plan, problem: Problem) {
  return plan.purchases.map((purchase) => {
    const offer = problem.offers.find(({ id }) => id === purchase.offer);
    const used = rollsOf(plan, (roll) => purchaseOf(roll, plan) === purchase);
    return {
      offer: purchase.offer,
      supplier: offer?.supplier ?? '',
      grade: offer?.grade ?? '',
      widthMm: grouped(purchase.widthMm),
      rolls: grouped(purchase.rolls),
      kg: grouped(purchase.kg, 0),
      cost: money(purchase.cost),
      orderBy: purchase.orderBy ?? '',
      arrivesOn: purchase.arrivesOn ?? '',
      waits: waitingWords(plan, used),
      unused: unusedWords(purchase, used.size, offer?.minOrderKg ?? 0),
    };
  });
}

/** Rolls of which nothing is taken are bought to reach the least order. */
function unusedWords(purchase: Purchase, used: number, minOrderKg: number): string {
  const unused = purchase.rolls - used;
  if (unused <= 0) return '';
  const why = minOrderKg > 0 ? `, bought to reach the least order of ${grouped(minOrderKg, 0)} kg` : '';
  return `${grouped(unused)} of them ${unused === 1 ? 'stays' : 'stay'} whole${why}.`;
}

/** Base rolls coated alike in one row. */
export function coatingRows(plan: Plan) {
  const alike = new Map<string, CoatingStep[]>();
  for (const step of plan.coating) {
    const key = JSON.stringify([step.product, step.readyOn, step.lengthM, step.roll.replace(/#\d+$/, '')]);
    alike.set(key, [...(alike.get(key) ?? []), step]);
  }
  return [...alike.values()].map((steps) => {
    const [{ product, lengthM, readyOn }] = steps as [CoatingStep];
    const names = steps.map((step) => step.roll);
    return {
      names: rollNames(names),
      many: grouped(steps.length),
      product,
      lengthM: grouped(lengthM, 1),
      totalM: grouped(lengthM * steps.length, 1),
      readyOn: readyOn ?? '',
      waits: waitingWords(
        plan,
        rollsOf(plan, (roll) => names.includes(roll)),
      ),
    };
  });
}

const rollsOf = (plan: Plan, wanted: (roll: string) => boolean): Set<string> =>
  new Set(plan.runs.flatMap((run) => run.from.map((from) => from.roll)).filter(wanted));

/** "runs 1 and 2, for SO-4138 and SO-4139": what cannot begin before these rolls are there. */
function waitingWords(plan: Plan, rolls: ReadonlySet<string>): string {
  const runs = plan.runs.filter((run) => run.from.some((from) => rolls.has(from.roll)));
  if (runs.length === 0) return 'nothing yet';
  const orders = [...new Set(runs.flatMap((run) => run.strips.map((strip) => strip.order)))].filter(
    (order) => order !== undefined,
  );
  const named = orders.length > 6 ? [...orders.slice(0, 5), `${orders.length - 5} more`] : orders;
  const forOrders = named.length > 0 ? `, for ${andList(named)}` : '';
  return `${runs.length === 1 ? 'run' : 'runs'} ${andList(runs.map((run) => String(run.sequence)))}${forOrders}`;
}
