// What the existing orders keep when a question is answered: the plan that they have, each with its rolls and its day.
// Film that this plan buys stands in for stock that arrives, so that nothing of it is sold twice.
import { type Kept, type ProblemRoll, TO_COME } from '../../domain/answer.ts';
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import type { IsoDate } from '../../domain/units.ts';

export const NOTHING_KEPT: Kept = { runs: [], coating: [], bought: [], orders: [] };

/** The plan of the existing orders as what they keep. `before`: what a plan made with its film as stock kept already. */
export function keptOf(document: ProblemDocument, plan: Plan, before: Kept = NOTHING_KEPT): Kept {
  const read = parseProblem(document);
  if (!read.ok) throw new Error('a problem that was planned can no longer be read');
  const names = new Map<string, string>();
  const bought = boughtRolls(document, plan, before.bought, names);
  const name = (roll: string) => names.get(roll) ?? roll;
  return {
    runs: plan.runs.map((run) => ({
      ...run,
      from: run.from.map((from) => ({ ...from, roll: name(from.roll) })),
    })),
    coating: plan.coating.map((step) => ({ ...step, roll: name(step.roll) })),
    bought: [...before.bought, ...bought],
    orders: plan.orders.flatMap((outcome) => {
      const order = orderIn(read.problem, outcome.id);
      const rolls = Math.min(outcome.planned, order.minRolls);
      return rolls > 0 ? [{ id: outcome.id, rolls, by: dayKept(order.dueOn, outcome.readyOn) }] : [];
    }),
  };
}

const orderIn = (problem: Problem, id: string): Problem['orders'][number] => {
  const order = problem.orders.find((one) => one.id === id);
  if (!order) throw new Error(`the plan has an order ${id} that its problem has not`);
  return order;
};

/** An order that is late as it is keeps the day that it has. */
function dayKept(dueOn: IsoDate | undefined, readyOn: string | undefined): IsoDate | undefined {
  if (dueOn === undefined || readyOn === undefined) return undefined;
  return (readyOn > dueOn ? readyOn : dueOn) as IsoDate;
}

/** Bought rolls are numbered through all purchases of their offer, which may be of several widths. */
function boughtRolls(
  document: ProblemDocument,
  plan: Plan,
  before: readonly ProblemRoll[],
  names: Map<string, string>,
): ProblemRoll[] {
  const numbers = new Map<string, number>();
  return plan.purchases.flatMap((purchase) => {
    const offer = document.offers?.find(({ id }) => id === purchase.offer);
    if (!offer) throw new Error(`the plan buys from ${purchase.offer}, which its problem does not offer`);
    const earlier = before.filter(({ id }) => id.startsWith(`${offer.id}, roll `)).length;
    return Array.from({ length: purchase.rolls }, (): ProblemRoll => {
      const number = (numbers.get(offer.id) ?? 0) + 1;
      numbers.set(offer.id, number);
      const id = `${offer.id}, roll ${earlier + number}${TO_COME}`;
      names.set(`${offer.id}#${number}`, id);
      if (number === 1) names.set(offer.id, id);
      return {
        id,
        kind: 'base',
        item: offer.grade,
        widthMm: purchase.widthMm,
        lengthM: offer.rollLengthM,
        costPerRoll: purchase.cost / purchase.rolls,
        ...(purchase.arrivesOn ? { readyOn: purchase.arrivesOn } : {}),
      };
    });
  });
}
