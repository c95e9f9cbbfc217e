// Random problems with everything on, made the way the program makes them: no crash, no plan that fails its check, the
// same plan for the same problem, patterns within their limit, and no stop long after the time is over.
//   LANEWRIGHT_MANY=1000 takes as many problems (20 otherwise), LANEWRIGHT_FROM=2000 begins at another seed.
import { expect, test } from 'vitest';
import type { Plan, PlanControl } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { cpuSeconds } from '../bench/cpuSeconds.ts';
import { randomPlant } from './reference/randomPlant.ts';

const MANY = Number(process.env.LANEWRIGHT_MANY ?? 20);
const FROM = Number(process.env.LANEWRIGHT_FROM ?? 1);
const BLOCK = 10;
const BLOCK_MS = 600_000;
/** Questions after the time left until a planner without a clock is told that its time is over. */
const QUESTIONS = 400;
const blocks = Array.from({ length: Math.ceil(MANY / BLOCK) }, (_, block) => FROM + BLOCK * block);

/** Time without end for so many questions, then none: what was not stopped so must come out the same again. */
function counted(): PlanControl & { stopped(): boolean } {
  let asked = 0;
  return {
    secondsLeft: () => (asked++ < QUESTIONS ? Number.POSITIVE_INFINITY : 0),
    stopped: () => asked > QUESTIONS,
    report: () => {},
  };
}

function made(document: ProblemDocument, what: string, control: PlanControl = counted()): Plan {
  const result = makePlan(document, control);
  if (!result.ok) throw new Error(`${what}: ${result.why}: ${JSON.stringify(result.faults)}`);
  return result.plan;
}

const everySeed = (first: number, check: (seed: number, document: ProblemDocument) => void) => {
  for (let seed = first; seed < Math.min(first + BLOCK, FROM + MANY); seed++) check(seed, randomPlant(seed));
};

test.each(blocks)(
  'problems from seed %d on are planned within every limit, twice alike',
  (first) => {
    everySeed(first, (seed, document) => {
      const control = counted();
      const plan = made(document, `seed ${seed}`, control);
      const again = made(document, `seed ${seed}, again`);
      if (!control.stopped()) expect(again, `seed ${seed}`).toEqual(plan);
    });
  },
  BLOCK_MS,
);

test.each(blocks.slice(0, Math.ceil(blocks.length / 3)))(
  'problems from seed %d on are planned again around their first run',
  (first) => {
    everySeed(first, (seed, document) => {
      const [run] = made(document, `seed ${seed}`).runs;
      // A run cut from film that is still to be bought cannot be kept.
      const inStock = run?.from.every(
        ({ roll }) => !document.offers?.some(({ id }) => roll.startsWith(`${id}#`)),
      );
      if (!run || !inStock) return;
      const { runs } = made({ ...document, locks: [run] }, `seed ${seed}, first run kept`);
      expect(
        runs.some(({ slitter, strips }) => slitter === run.slitter && strips.length === run.strips.length),
      ).toBe(true);
    });
  },
  BLOCK_MS,
);

const SECONDS = 1;
/** A step that has begun is finished: one linear program, or laying out the plan. */
const LATE_SECONDS = 3;
test.each(blocks.slice(0, Math.ceil(blocks.length / 6)))(
  'larger problems from seed %d on stop when their time is over, with a plan',
  (first) => {
    everySeed(first, (seed) => {
      const start = cpuSeconds();
      const secondsLeft = () => SECONDS - (cpuSeconds() - start);
      made(randomPlant(seed, 3), `seed ${seed}`, { secondsLeft, report: () => {} });
      expect(cpuSeconds() - start, `seed ${seed}`).toBeLessThan(SECONDS + LATE_SECONDS);
    });
  },
  BLOCK_MS,
);
