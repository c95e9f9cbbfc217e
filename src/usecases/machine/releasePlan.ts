// Releases runs of a plan to the machine: the plan is checked once more, its rolls and orders are held against today's
// stock, and from then on the rolls are reserved. Rolls are locked in the order of their codes, so that of two people
// who release plans with a roll in common one wins, and the other is told which roll and who has it.
import type { Knex } from 'knex';
import type { Plan, Run } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import type { Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { checkPlan, printPlanFault } from '../../planner/checkPlan.ts';
import { progressOf, refreshOrders } from '../../store/orderProgress.ts';
import { holdersOf, insertRelease, releaseOfEntry, runsTaken } from '../../store/releases.ts';
import { findCodes, findRows } from '../../store/rows.ts';
import { enterOnce } from '../enterOnce.ts';
import { readFinishedPlan } from '../planning/readPlan.ts';
import {
  leftBefore,
  notThereYet,
  orderFaults,
  type ReleaseFault,
  rollFaults,
  rollsFor,
} from './releaseChecks.ts';

export type { ReleaseFault } from './releaseChecks.ts';

export interface Act {
  by: string;
  requestKey?: string | undefined;
}

export interface ReleaseChoice extends Act {
  /** Numbers of the runs; `all`: every run whose film is there. */
  runs: readonly number[] | 'all';
  today: string;
}

export type Released = { ok: true; id: number } | { ok: false; faults: ReleaseFault[] };

/** Refuses with not-found, plan-not-finished, release-breaks-limit or roll-reserved. */
export async function releasePlan(db: Knex, planId: number, choice: ReleaseChoice): Promise<Released> {
  const { plan, problem: document } = await readFinishedPlan(db, planId);
  const read = parseProblem(document);
  if (!read.ok) throw new Error(`the stored problem of plan ${planId} can no longer be read`);
  const broken = checkPlan(read.problem, plan).slice(0, 3).map(printPlanFault);
  if (broken.length > 0) throw new Refusal('release-breaks-limit', { id: planId, faults: broken });
  const { by, requestKey, runs } = choice;
  const details = { plan: planId, runs };
  const entered = await enterOnce(
    db,
    { kind: 'released to the machine', by, requestKey, details },
    (trx, entry) => release(trx, entry, { id: planId, plan, problem: read.problem }, choice),
  );
  if (!entered.ok) return entered;
  return { ok: true, id: (await releaseOfEntry(db, entered.entry)) as number };
}

interface PlanToRelease {
  id: number;
  plan: Plan;
  problem: Problem;
}

async function release(
  trx: Knex,
  entry: number,
  of: PlanToRelease,
  { by, runs, today }: ReleaseChoice,
): Promise<ReleaseFault[] | undefined> {
  const chosen = chosenRuns(of, runs, await runsTaken(trx, of.id));
  if (chosen.faults.length > 0) return chosen.faults;
  const rolls = rollsOfRuns(chosen.runs);
  // Read once the locks are held: maps lie in a table of their own and may have changed while this waited.
  await findRows(trx, RESOURCES.rolls, rolls, 'lock');
  const rows = byCode(await findRows(trx, RESOURCES.rolls, rolls));
  await refuseReserved(trx, rolls);
  const wanted = rollsFor(chosen.runs);
  const orders = byCode(await findRows(trx, RESOURCES.orders, [...wanted.keys()], 'lock'));
  const faults = [
    ...leftBefore(chosen.runs, of.plan),
    ...rollFaults(rolls, of.problem, rows, today),
    ...orderFaults(wanted, of.problem, orders, await progressOf(trx, [...wanted.keys()])),
    ...(await unknownMachines(trx, chosen.runs)),
  ];
  if (faults.length > 0) return faults;
  const held = rolls.map((roll) => ({ roll, lengthMm: rows.get(roll)?.lengthMm as number }));
  await insertRelease(trx, { plan: of.id, entry, by, runs: chosen.runs, rolls: held });
  await refreshOrders(trx, [...wanted.keys()]);
  return undefined;
}

const byCode = (rows: readonly Row[]): Map<string, Row> =>
  new Map(rows.map((row) => [String(row.code), row]));

const rollsOfRuns = (runs: readonly Run[]): string[] =>
  [...new Set(runs.flatMap((run) => run.from.map(({ roll }) => roll)))].sort();

type Taken = Awaited<ReturnType<typeof runsTaken>>;

/** The runs to release; those whose film is not there, or that were released before, are faults when they were ticked. */
function chosenRuns({ plan }: PlanToRelease, asked: ReleaseChoice['runs'], taken: Taken) {
  const hindrances = new Map(plan.runs.map((run) => [run.sequence, hindranceOf(run, plan, taken)]));
  const runs = [...plan.runs]
    .sort((a, b) => a.sequence - b.sequence)
    .filter(({ sequence }) => (asked === 'all' ? !hindrances.get(sequence) : asked.includes(sequence)));
  const faults = runs.flatMap(({ sequence }) => {
    const wrong = hindrances.get(sequence);
    return wrong ? [{ about: `run ${sequence}`, wrong, right: 'leave it out for now' }] : [];
  });
  if (runs.length === 0)
    faults.push({
      about: 'the runs',
      wrong: 'none can be released',
      right: 'tick runs whose film is in stock',
    });
  return { runs, faults };
}

/** Why a run cannot be released at all; undefined when it can, as far as the plan knows. */
function hindranceOf(run: Run, plan: Plan, taken: Taken): string | undefined {
  const before = taken.find(({ sequence }) => sequence === run.sequence);
  return before ? `is in release ${before.release} already` : notThereYet(run, plan);
}

async function refuseReserved(trx: Knex, rolls: readonly string[]): Promise<void> {
  const holder = (await holdersOf(trx, rolls))[0];
  if (!holder) return;
  const { roll, release: held, by, plan } = holder;
  throw new Refusal('roll-reserved', { roll, release: held, by, plan });
}

/** A plan of a file may name slitters and products that this plant does not have. */
async function unknownMachines(trx: Knex, chosen: readonly Run[]): Promise<ReleaseFault[]> {
  const slitters = [...new Set(chosen.map((run) => run.slitter))];
  const products = [...new Set(chosen.map((run) => run.product))];
  const known = [
    ...(await findCodes(trx, RESOURCES.slitters, slitters)).values(),
    ...(await findCodes(trx, RESOURCES.products, products)).values(),
  ];
  return [...slitters, ...products]
    .filter((code) => !known.includes(code))
    .map((code) => ({
      about: code,
      wrong: 'is not known here',
      right: 'plan from the tables of this plant',
    }));
}

/** How releasing would go now, without doing it: why single runs cannot go, and what differs for those that could. */
export async function releaseOutlook(
  db: Knex,
  planId: number,
  today: string,
): Promise<{ hindrances: Map<number, string>; faults: ReleaseFault[] }> {
  const { plan, problem: document } = await readFinishedPlan(db, planId);
  const read = parseProblem(document);
  if (!read.ok) throw new Error(`the stored problem of plan ${planId} can no longer be read`);
  const taken = await runsTaken(db, planId);
  const hindrances = new Map<number, string>();
  for (const run of plan.runs) {
    const wrong = hindranceOf(run, plan, taken);
    if (wrong !== undefined) hindrances.set(run.sequence, wrong);
  }
  const free = plan.runs.filter(({ sequence }) => !hindrances.has(sequence));
  const rolls = rollsOfRuns(free);
  const wanted = rollsFor(free);
  const rows = byCode(await findRows(db, RESOURCES.rolls, rolls));
  const orders = byCode(await findRows(db, RESOURCES.orders, [...wanted.keys()]));
  const held = (await holdersOf(db, rolls)).map(({ roll, by, release: number }) => ({
    about: roll,
    wrong: `is at the machine already: ${by} released it (release ${number})`,
    right: `withdraw what is not yet cut of release ${number}`,
  }));
  const faults = [
    ...held,
    ...rollFaults(rolls, read.problem, rows, today),
    ...orderFaults(wanted, read.problem, orders, await progressOf(db, [...wanted.keys()])),
  ];
  return { hindrances, faults };
}
