// Knife moves as the checker counts them, on the constructed case knife-sequence-5: a change costs the knife positions
// of the new pattern that the old one did not have.
import { expect, test } from 'vitest';
import type { RunFacts } from '../../src/planner/checkPlan/facts.ts';
import { machineTimes } from '../../src/planner/checkPlan/machine.ts';
import { readCase } from '../readCases.ts';

const published = readCase('constructed/knife-sequence-5') as ReturnType<typeof readCase> & {
  knife_positions: Record<string, number[]>;
};

function runOf(pattern: string): RunFacts {
  const knives = published.knife_positions[pattern]!;
  const strips = knives.slice(1).map((toMm, at) => ({ fromUm: knives[at]! * 1000, toUm: toMm * 1000 }));
  return { run: { slitter: 'S', trimLeftMm: knives[0] }, strips } as unknown as RunFacts;
}

function movesOf(order: string[]): number {
  return machineTimes(order.map(runOf)).reduce((sum, time) => sum + time.chargedMoves, 0);
}

function permutations(items: string[]): string[][] {
  if (items.length === 0) return [[]];
  return items.flatMap((item, at) => permutations(items.toSpliced(at, 1)).map((rest) => [item, ...rest]));
}

test('the listed order of the five patterns moves 9 knives, the best 6, the worst 11', () => {
  const { order_ABCDE, best, best_order, worst } = published.verified_answer;
  expect(movesOf(['A', 'B', 'C', 'D', 'E'])).toBe(order_ABCDE);
  expect(movesOf(best_order.split(','))).toBe(best);
  const all = permutations(['A', 'B', 'C', 'D', 'E']).map(movesOf);
  expect(all).toHaveLength(120);
  expect(Math.min(...all)).toBe(best);
  expect(Math.max(...all)).toBe(worst);
});
