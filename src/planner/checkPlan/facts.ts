// What the clauses look at: the plan's runs, strips and blocks of sets tied to the problem's slitters, orders and rolls.
// A name that the problem does not know stays undefined here; one clause reports it, the others pass it over.
import type { Plan, Run, RunFrom } from '../../domain/plan.ts';
import type { Edges, Filler, Order, Problem, Product, Slitter } from '../../domain/problem.ts';
import type { Um } from '../../domain/units.ts';
import { mmToUm, mToMm } from '../../domain/units.ts';
import type { WebRoll } from './webRolls.ts';
import { cutOuts, rollFinder } from './webRolls.ts';

export interface PlanFault {
  /** JSON path in the plan. */
  where: string;
  rule: string;
  expected: string;
  found: string;
}
export type Clause = (facts: Facts) => PlanFault[];

export function fault(where: string, rule: string, expected: unknown, found: unknown): PlanFault {
  return { where, rule, expected: String(expected), found: String(found) };
}

/** Two numbers that should be the same, up to the rounding of doubles. */
export function differ(found: number, expected: number): boolean {
  return !(Math.abs(found - expected) <= 1e-6 * Math.max(1, Math.abs(found), Math.abs(expected)));
}

export interface StripFacts {
  where: string;
  fromUm: number;
  toUm: number;
  order: Order | undefined;
  filler: Filler | undefined;
  waste: boolean;
}

/** Sets taken from one roll in one stretch. */
export interface Block {
  where: string;
  from: RunFrom;
  roll: WebRoll | undefined;
  startMm: number;
  endMm: number;
  /** Good stretches, cut-outs jumped over; listed only for rolls with bad places. */
  sets: { fromMm: number; toMm: number; splices: number }[];
}

export interface RunFacts {
  where: string;
  run: Run;
  slitter: Slitter | undefined;
  product: Product | undefined;
  lengthMm: number;
  /** Width of the rolls it is cut from. */
  widthUm: number | undefined;
  strips: StripFacts[];
  blocks: Block[];
}

export interface RollUse {
  roll: WebRoll;
  slitter: Slitter | undefined;
  product: Product | undefined;
  blocks: Block[];
  /** Everything up to here is used; beyond it lies the stub. */
  endMm: number;
}

export interface Facts {
  problem: Problem;
  plan: Plan;
  runs: RunFacts[];
  /** By the single roll's name. */
  uses: Map<string, RollUse>;
  /** The single roll of this name, as it can be slit. */
  rollNamed(name: string): WebRoll | undefined;
}

export function gatherFacts(problem: Problem, plan: Plan): Facts {
  const rollNamed = rollFinder(problem, plan);
  const orders = new Map(problem.orders.map((order) => [order.id, order]));
  const runs = plan.runs.map((run, index) => runFacts(problem, { rollNamed, orders }, run, `runs[${index}]`));
  return { problem, plan, runs, uses: gatherUses(runs), rollNamed };
}

function runFacts(
  problem: Problem,
  { rollNamed, orders }: Pick<Facts, 'rollNamed'> & { orders: ReadonlyMap<string, Order> },
  run: Run,
  where: string,
): RunFacts {
  const slitter = problem.slitters.find(({ id }) => id === run.slitter);
  const product = problem.products.find(({ id }) => id === run.product);
  const lengthMm = mToMm(run.lengthM);
  const strips = run.strips.map((strip, index) => ({
    where: `${where}.strips[${index}]`,
    fromUm: mmToUm(strip.fromMm),
    toUm: mmToUm(strip.toMm),
    order: strip.order === undefined ? undefined : orders.get(strip.order),
    filler: strip.filler === undefined ? undefined : problem.fillers[strip.filler],
    waste: strip.waste === true,
  }));
  const blocks = run.from.map((from, index) => {
    const splices = product?.maxSplicesPerRoll ?? 0;
    return blockOf(
      from,
      `${where}.from[${index}]`,
      rollNamed(from.roll),
      lengthMm,
      slitter?.tailMm ?? 0,
      splices,
    );
  });
  const widthUm = blocks.find((block) => block.roll)?.roll?.widthUm;
  return { where, run, slitter, product, lengthMm, widthUm, strips, blocks };
}

function blockOf(
  from: RunFrom,
  where: string,
  roll: WebRoll | undefined,
  lengthMm: number,
  tailMm: number,
  maxSplices: number,
): Block {
  const startMm = mToMm(from.startM);
  const block = { where, from, roll, startMm, endMm: startMm + from.sets * (lengthMm + tailMm), sets: [] };
  return roll?.defects.length ? layBlock(block, roll, lengthMm, tailMm, maxSplices) : block;
}

/** Lays the sets one after the other; where splices are allowed a full-width bad place is cut out and jumped over. */
function layBlock(block: Block, roll: WebRoll, lengthMm: number, tailMm: number, maxSplices: number): Block {
  const flags = cutOuts(roll);
  const sets: Block['sets'] = [];
  let at = block.startMm;
  for (let set = 0; set < block.from.sets && at <= roll.lengthMm; set++) {
    const begin = at;
    let needed = lengthMm;
    let splices = 0;
    for (const flag of flags) {
      if (flag.toMm <= at || flag.fromMm >= at + needed) continue;
      splices++;
      if (maxSplices === 0) continue;
      needed -= Math.max(0, flag.fromMm - at);
      at = flag.toMm;
    }
    sets.push({ fromMm: begin, toMm: at + needed, splices });
    at += needed + tailMm;
  }
  return { ...block, sets, endMm: sets.length === block.from.sets ? at : block.endMm };
}

function gatherUses(runs: RunFacts[]): Map<string, RollUse> {
  const uses = new Map<string, RollUse>();
  for (const { slitter, product, blocks } of runs) {
    for (const block of blocks) {
      if (!block.roll) continue;
      const use = uses.get(block.roll.name) ?? {
        roll: block.roll,
        slitter,
        product,
        blocks: [],
        endMm: block.roll.coatedMm,
      };
      use.blocks.push(block);
      use.endMm = Math.max(use.endMm, block.endMm);
      uses.set(block.roll.name, use);
    }
  }
  return uses;
}

/** The least edge trim on each side: what the slitter needs, and never less than what is not coated. */
export function leastTrims(slitter: Slitter | undefined, product: Product | undefined): Edges {
  const free = product?.coating?.coatFreeEdgeUm;
  const least = slitter?.edgeTrimMinUm;
  return {
    left: Math.max(least?.left ?? 0, free?.left ?? 0) as Um,
    right: Math.max(least?.right ?? 0, free?.right ?? 0) as Um,
  };
}
