// One roll along its length: it exists, runs on one slitter from the outer end inwards, lead-in first, no metre twice,
// no strip over a bad place; what is left is a stub, kept when it is long and wide enough.
import { mmToM, umToMm } from '../../domain/units.ts';
import type { Block, Clause, Facts, PlanFault, RollUse, RunFacts } from './facts.ts';
import { fault, leastTrims } from './facts.ts';
import { fullWidthDefects } from './webRolls.ts';

const eachUse =
  (check: (use: RollUse, facts: Facts) => PlanFault[]): Clause =>
  (facts) =>
    [...facts.uses.values()].flatMap((use) => check(use, facts));

const exists: Clause = ({ runs }) =>
  runs.flatMap(({ blocks }) =>
    blocks
      .filter(({ roll }) => !roll)
      .map(({ where, from }) =>
        fault(`${where}.roll`, 'known-roll', 'a single roll of stock or purchase', from.roll),
      ),
  );

const oneSlitter: Clause = ({ runs, uses }) =>
  runs.flatMap(({ run, blocks }) =>
    blocks.flatMap(({ where, roll }) => {
      const first = roll && uses.get(roll.name)?.slitter?.id;
      return first && first !== run.slitter ? [fault(where, 'one-slitter-per-roll', first, run.slitter)] : [];
    }),
  );

const leadIn = eachUse(({ slitter, blocks }) =>
  blocks
    .filter((block) => slitter && block.startMm < slitter.leadInMm)
    .map((block) =>
      fault(
        `${block.where}.startM`,
        'lead-in',
        `at least ${mmToM(slitter?.leadInMm ?? 0)} m`,
        block.from.startM,
      ),
    ),
);

const insideRoll = eachUse(({ roll, blocks }) =>
  blocks
    .filter((block) => block.endMm > roll.lengthMm)
    .map((block) =>
      fault(block.where, 'roll-length', `ends by ${mmToM(roll.lengthMm)} m`, `${mmToM(block.endMm)} m`),
    ),
);

/** Blocks are listed in the order of the runs; a roll unwinds from its outer end, so they lie in that order too. */
const unwindingOrder = eachUse(({ blocks }) =>
  blocks.flatMap((block, index) => {
    const before = blocks[index - 1];
    if (!before || block.startMm >= before.endMm) return [];
    return [
      fault(`${block.where}.startM`, 'no-overlap', `from ${mmToM(before.endMm)} m on`, block.from.startM),
    ];
  }),
);

const fullWidthBadPlaces: Clause = ({ runs }) =>
  runs.flatMap(({ product, blocks }) =>
    blocks.flatMap((block) => {
      const most = product?.maxSplicesPerRoll ?? 0;
      const spliced = block.sets.filter((set) => set.splices > most);
      return spliced.map((set) =>
        fault(
          block.where,
          'full-width-defect',
          `at most ${most} splices in a set`,
          `${set.splices} at ${mmToM(set.fromMm)} m`,
        ),
      );
    }),
  );

const badLanes: Clause = ({ runs }) =>
  runs.flatMap((run) => run.blocks.flatMap((block) => laneFaults(run, block)));

function laneFaults({ strips }: RunFacts, block: Block): PlanFault[] {
  if (!block.roll?.defects.length) return [];
  const full = fullWidthDefects(block.roll);
  const lanes = block.roll.defects.filter((defect) => !full.includes(defect));
  return lanes.flatMap((lane) => {
    if (!block.sets.some((set) => set.fromMm < lane.toMm && lane.fromMm < set.toMm)) return [];
    return strips
      .filter((strip) => !strip.waste && strip.fromUm < lane.toUm && lane.fromUm < strip.toUm)
      .map((strip) =>
        fault(
          strip.where,
          'bad-lane',
          `clear of ${umToMm(lane.fromUm)} to ${umToMm(lane.toUm)} mm of ${block.from.roll}`,
          block.where,
        ),
      );
  });
}

const stubsListed: Clause = (facts) => {
  const { plan, uses } = facts;
  const faults: PlanFault[] = [];
  const listed = new Map(plan.stubs.map((stub, index) => [stub.roll, { stub, where: `stubs[${index}]` }]));
  if (listed.size !== plan.stubs.length)
    faults.push(fault('stubs', 'stubs', 'each roll once', 'a roll twice'));
  for (const [name, use] of uses) {
    const left = leftMm(use);
    const entry = listed.get(name);
    listed.delete(name);
    if (left <= 0 && !entry) continue;
    const expected = { widthMm: umToMm(use.roll.widthUm), lengthM: mmToM(left), keep: isKept(facts, use) };
    const { widthMm, lengthM, keep } = entry?.stub ?? {};
    const same = widthMm === expected.widthMm && lengthM === expected.lengthM && keep === expected.keep;
    if (left > 0 && same) continue;
    const found = { widthMm, lengthM, keep };
    faults.push(
      fault(entry?.where ?? 'stubs', 'stubs', `${name}: ${JSON.stringify(expected)}`, JSON.stringify(found)),
    );
  }
  for (const [name, { where }] of listed) faults.push(fault(where, 'stubs', 'a used roll', name));
  return faults;
};

/** The keep rule: at least `stubKeepMin` long (default: the product's shortest finished length and the lead-in), wide enough to sell. */
export function isKept(facts: Facts, use: RollUse): boolean {
  const left = leftMm(use);
  if (left <= 0) return false;
  const { lengthMm, widthUm } = leastKept(facts, use);
  return left >= lengthMm && use.roll.widthUm >= widthUm;
}

interface LeastKept {
  lengthMm: number;
  widthUm: number;
}

/** Looked up once for each product and slitter of a plan: there may be thousands of rolls and orders. */
const leasts = new WeakMap<Facts, Map<string, LeastKept>>();

function leastKept(facts: Facts, use: RollUse): LeastKept {
  const known = leasts.get(facts) ?? new Map<string, LeastKept>();
  leasts.set(facts, known);
  const key = JSON.stringify([use.roll.product, use.product?.id, use.slitter?.id]);
  const least = known.get(key) ?? findLeastKept(facts, use);
  known.set(key, least);
  return least;
}

function findLeastKept({ problem }: Facts, { roll, slitter, product }: RollUse): LeastKept {
  const orders = problem.orders.filter((order) => order.product === roll.product);
  const fillers = problem.fillers.filter((filler) => filler.product === roll.product);
  const lengths = (orders.length ? orders : fillers).map((item) => item.lengthMm);
  const trims = leastTrims(slitter, product);
  const widths = [...orders, ...fillers].map((item) => item.widthUm);
  return {
    lengthMm: problem.costs.stubKeepMinMm ?? Math.min(...lengths) + (slitter?.leadInMm ?? 0),
    widthUm: Math.min(...widths) + trims.left + trims.right,
  };
}

/** What the plan leaves of a roll: web beyond the last set, or base film that is not coated. */
export function leftMm({ roll, endMm }: RollUse): number {
  return roll.filmLengthMm - roll.lossMm - endMm;
}

export const rollClauses: Clause[] = [
  exists,
  oneSlitter,
  leadIn,
  insideRoll,
  unwindingOrder,
  fullWidthBadPlaces,
  badLanes,
  stubsListed,
];
