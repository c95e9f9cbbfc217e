// The problem without some single rolls: of several identical ones only as many as are named go. The price of falling
// short stays that of the whole problem.
import type { Problem } from '../../domain/problem.ts';
import { shortPricePerM2 } from '../../domain/shortPrice.ts';

/** `names`: ids, or id#k. */
export function withoutRolls(problem: Problem, names: string[]): Problem {
  const gone = new Map<string, number>();
  for (const name of names) {
    const whole = problem.rolls.some((roll) => roll.id === name && roll.count === 1);
    const id = whole ? name : name.replace(/#\d+$/, '');
    gone.set(id, (gone.get(id) ?? 0) + 1);
  }
  const rolls = problem.rolls
    .map((roll) => ({ ...roll, count: roll.count - (gone.get(roll.id) ?? 0) }))
    .filter((roll) => roll.count > 0);
  return { ...problem, rolls, costs: { ...problem.costs, perShortM2: shortPricePerM2(problem) } };
}
