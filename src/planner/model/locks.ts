// Planning around runs that are set up or released already. What they take is taken away first: their rolls from the
// orders, their metres from the film, their place from the slitters' time. The planner plans what is left as if there
// were nothing else, beginning with the knives as the last of them leaves them; then both parts are put together.
// A base roll that a locked run has coated is used for nothing else: coating it further would move what is locked.
import type { LockedRun, Problem, Slitter, StockRoll } from '../../domain/problem.ts';
import { shortPricePerM2 } from '../../domain/shortPrice.ts';
import { type Mm, mm, mmToUm, mToMm, type Um } from '../../domain/units.ts';
import type { RollUse } from '../layingOut/figures.ts';
import { schedule, type TimedRun } from '../layingOut/schedule.ts';
import { cutOutsOf, laySet, type Stretch } from './cutOuts.ts';
import { mergeDemands } from './demands.ts';
import type { SiteRegister } from './sites.ts';
import { sourcesOf } from './sources.ts';

/** The problem that is left when the locked runs are done, for the planner. */
export function withoutLocked(problem: Problem): Problem {
  const made = madeByLocked(problem.locks);
  const busy = busyWithLocked(problem);
  return {
    ...problem,
    slitters: problem.slitters.map((slitter) => ({
      ...slitter,
      knivesAtUm: knivesAfter(problem, slitter),
      busyMinutes: busy.get(slitter.id),
    })),
    rolls: rollsLeft(problem),
    orders: problem.orders.map((order) => {
      const less = (rolls: number) => Math.max(0, rolls - (made.orders.get(order.id) ?? 0));
      const { rolls, minRolls, maxRolls } = order;
      return { ...order, rolls: less(rolls), minRolls: less(minRolls), maxRolls: less(maxRolls) };
    }),
    fillers: problem.fillers.map((filler, index) => ({
      ...filler,
      maxRolls: Math.max(0, filler.maxRolls - (made.fillers.get(index) ?? 0)),
    })),
    // What is left may be smaller, but a roll fallen short costs what it costs in the whole problem.
    costs: { ...problem.costs, perShortM2: shortPricePerM2(problem) },
    maxPatterns: Math.max(0, problem.maxPatterns - lockedPatterns(problem.locks)),
    locks: [],
    excludeRolls: [],
  };
}

/** Finished rolls that the locked runs make: by order id, and by index of the filler. */
function madeByLocked(locks: LockedRun[]): {
  orders: Map<string, number>;
  fillers: Map<number, number>;
} {
  const orders = new Map<string, number>();
  const fillers = new Map<number, number>();
  for (const { strips, sets } of locks) {
    for (const { order, filler } of strips) {
      if (order !== undefined) orders.set(order, (orders.get(order) ?? 0) + sets);
      if (filler !== undefined) fillers.set(filler, (fillers.get(filler) ?? 0) + sets);
    }
  }
  return { orders, fillers };
}

/** The minute at which each slitter is done with its locked runs. */
function busyWithLocked(problem: Problem): Map<string, number> {
  const timed = lockedInTime(problem, lockedUses(problem));
  return new Map(timed.map(({ run, endsAt }) => [run.slitter, endsAt]));
}

/** The locked runs in time: first on their slitters. */
export function lockedInTime(problem: Problem, uses: RollUse[]): TimedRun[] {
  const ready = new Map(uses.map(({ roll, source }) => [roll, source.readyOn]));
  return schedule(problem, problem.locks, (roll) => ready.get(roll));
}

function knivesOf({ trimLeftMm, strips }: LockedRun): Um[] {
  return [trimLeftMm, ...strips.map((strip) => strip.toMm)].map(mmToUm);
}

function knivesAfter({ locks }: Problem, { id, knivesAtUm }: Slitter): Um[] | undefined {
  const last = locks.filter((lock) => lock.slitter === id).at(-1);
  return last ? knivesOf(last) : knivesAtUm;
}

function lockedPatterns(locks: LockedRun[]): number {
  return new Set(locks.map((lock) => JSON.stringify([lock.slitter, ...knivesOf(lock)]))).size;
}

interface Taken {
  slitter: string;
  product: string;
  usedMm: Mm;
  inSetsMm: number;
  splices: number;
}

/** How far each single roll is used by the locked runs, and on which slitter, by its name. */
function takenOfRolls(problem: Problem): Map<string, Taken> {
  const taken = new Map<string, Taken>();
  for (const { slitter, product, lengthM, from } of problem.locks) {
    const tailMm = problem.slitters.find(({ id }) => id === slitter)?.tailMm ?? 0;
    for (const { roll, sets, startM } of from) {
      const before = taken.get(roll) ?? { usedMm: 0, inSetsMm: 0, splices: 0 };
      const row = setsInARow(cutOutsIn(problem, roll), mToMm(startM), sets, mToMm(lengthM), tailMm);
      taken.set(roll, {
        slitter,
        product,
        usedMm: mm(Math.max(before.usedMm, row.endMm)),
        inSetsMm: before.inSetsMm + sets * (mToMm(lengthM) + tailMm),
        splices: before.splices + row.splices,
      });
    }
  }
  return taken;
}

/** Where sets in a row end, cut-outs included, and the splices in them. */
function setsInARow(cutOuts: Stretch[], startMm: number, sets: number, lengthMm: number, tailMm: number) {
  const row = { endMm: startMm, splices: 0 };
  for (let k = 0; k < sets; k++) {
    const { endMm, splices } = laySet(cutOuts, row.endMm, lengthMm);
    row.endMm = endMm + tailMm;
    row.splices += splices;
  }
  return row;
}

/** What is cut out of a coated roll where its sets meet it; base film lies the other way round once it is coated. */
function cutOutsIn({ rolls }: Problem, name: string): Stretch[] {
  const roll = rolls.find(({ id }) => id === name) ?? rolls.find(({ id }) => name.startsWith(`${id}#`));
  return roll && roll.kind !== 'base' ? cutOutsOf(roll.defects, roll.widthUm) : [];
}

function rollsLeft(problem: Problem): StockRoll[] {
  const taken = takenOfRolls(problem);
  const excluded = new Set(problem.excludeRolls);
  return problem.rolls
    .flatMap((roll) => singledOut(roll, (name) => taken.has(name) || excluded.has(name)))
    .flatMap((roll) => {
      if (excluded.has(roll.id)) return [];
      const begun = taken.get(roll.id);
      if (!begun) return [roll];
      const { slitter, usedMm } = begun;
      return roll.kind === 'base' ? [] : [{ ...roll, begun: { slitter, usedMm } }];
    });
}

/** A roll counted several times as single rolls with their own names, when one of them is marked. */
function singledOut(roll: StockRoll, marked: (name: string) => boolean): StockRoll[] {
  if (roll.count === 1 || marked(roll.id)) return [roll];
  const names = Array.from({ length: roll.count }, (_, k) => `${roll.id}#${k + 1}`);
  return names.some(marked) ? names.map((id) => ({ ...roll, id, count: 1 })) : [roll];
}

/** What is locked is cut already: no walk along its rolls is wanted, and none is looked for. */
const NO_SITES: SiteRegister = { sites: [], refusals: new Map(), sitesAt: () => [] };

/** The rolls of the locked runs as far as these use them, with what that costs. Throws for rolls that cannot be slit so. */
export function lockedUses(problem: Problem): RollUse[] {
  const demands = mergeDemands(problem, shortPricePerM2(problem));
  return [...takenOfRolls(problem)].map(([name, { slitter, product, usedMm, inSetsMm, splices }]) => {
    const [roll] = problem.rolls
      .flatMap((one) => singledOut(one, (id) => id === name))
      .filter(({ id }) => id === name);
    const group = roll && { roll, count: 1, nameOf: () => name };
    const sources = group ? sourcesOf(problem, group, 0, demands, NO_SITES) : [];
    const source = sources.find((one) => one.slitter.id === slitter && one.product.id === product);
    if (!source) throw new Error(`locked roll ${name} cannot be slit on ${slitter} for ${product}`);
    return { roll: name, source: { ...source, index: 0 }, endMm: usedMm, inSetsMm, splices };
  });
}
