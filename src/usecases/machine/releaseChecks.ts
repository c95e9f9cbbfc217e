// What stands against releasing runs of a plan today: film that is not there yet, rolls that are no longer as they were
// when the plan was frozen, orders that changed or are covered already. Every finding names what differs.
import { acceptedRolls } from '../../domain/filmMath.ts';
import { rollsToStart } from '../../domain/goodRolls.ts';
import type { Progress } from '../../domain/orderProgress.ts';
import type { Plan, Run } from '../../domain/plan.ts';
import type { Order, Problem, StockRoll } from '../../domain/problem.ts';
import type { Row } from '../../domain/resource.ts';
import { type BadPlace, placesOnRoll } from '../../domain/rollMap.ts';
import { mmToM, umToMm } from '../../domain/units.ts';

export interface ReleaseFault {
  /** The run, roll or order. */
  about: string;
  wrong: string;
  right: string;
}

const stemOf = (roll: string): string => roll.replace(/#\d+$/, '');

/** Why a run cannot be cut yet, from the plan alone: its film is bought or still to be coated. */
export function notThereYet(run: Run, plan: Plan): string | undefined {
  const offers = new Set(plan.purchases.map(({ offer }) => offer));
  const steps = new Set(plan.coating.map(({ roll }) => roll));
  const names = [...new Set(run.from.map(({ roll }) => roll))];
  const bought = names.filter((roll) => offers.has(stemOf(roll)));
  if (bought.length > 0) return `its film ${bought.join(', ')} is to be bought`;
  const coated = names.filter((roll) => steps.has(roll));
  return coated.length > 0 ? `its film ${coated.join(', ')} is still to be coated` : undefined;
}

/** Runs that lie behind others on a roll can only go with them: what lies before them would be lost. */
export function leftBefore(chosen: readonly Run[], plan: Plan): ReleaseFault[] {
  const numbers = new Set(chosen.map(({ sequence }) => sequence));
  return chosen.flatMap((run) => {
    const before = plan.runs.filter(
      (other) => !numbers.has(other.sequence) && other.from.some((from) => liesBefore(from, run)),
    );
    if (before.length === 0) return [];
    const names = before.map(({ sequence }) => sequence).join(', ');
    return {
      about: `run ${run.sequence}`,
      wrong: `lies behind run ${names} on the same roll`,
      right: `tick run ${names} too`,
    };
  });
}

const liesBefore = (from: Run['from'][number], run: Run): boolean =>
  run.from.some((own) => own.roll === from.roll && own.startM > from.startM);

/** Rolls against what the plan was made for. `rows` by code as they are now. */
export function rollFaults(
  names: readonly string[],
  problem: Problem,
  rows: ReadonlyMap<string, Row>,
  today: string,
): ReleaseFault[] {
  return names.flatMap((name) => {
    const row = rows.get(name);
    const frozen = problem.rolls.find(({ id, count }) => id === name && count === 1);
    if (!row || !frozen)
      return [{ about: name, wrong: 'is not a roll in stock', right: 'plan from the stock of this plant' }];
    return differences(row, frozen, today).map((wrong) => ({
      about: name,
      wrong,
      right: 'plan again from the stock as it is now',
    }));
  });
}

function differences(row: Row, frozen: StockRoll, today: string): string[] {
  const size = { widthUm: row.widthUm as number, lengthMm: row.lengthMm as number };
  const found: string[] = [];
  if (row.status !== 'released') found.push(`is ${String(row.status)}`);
  if (row.useBy && String(row.useBy) < today) found.push(`was to be used by ${String(row.useBy)}`);
  if (row.item !== frozen.item) found.push(`is ${String(row.item)} now, ${frozen.item} when it was planned`);
  if (size.widthUm !== frozen.widthUm)
    found.push(`is ${umToMm(size.widthUm)} mm wide now, ${umToMm(frozen.widthUm)} mm when it was planned`);
  if (size.lengthMm !== frozen.lengthMm)
    found.push(`holds ${mmToM(size.lengthMm)} m now, ${mmToM(frozen.lengthMm)} m when it was planned`);
  else if (mapText(placesOnRoll(row.rollMap as BadPlace[], size)) !== mapText(frozen.defects))
    found.push('has another roll map now than when it was planned');
  return found;
}

const mapText = (
  places: readonly { fromMm: number; toMm: number; fromUm: number; toUm: number; kind: string }[],
) => JSON.stringify(places.map((p) => [p.fromMm, p.toMm, p.fromUm, p.toUm, p.kind]).sort());

/** Rolls that chosen runs make for each order. */
export function rollsFor(chosen: readonly Run[]): Map<string, number> {
  const many = new Map<string, number>();
  for (const { strips, sets } of chosen)
    for (const { order } of strips) if (order !== undefined) many.set(order, (many.get(order) ?? 0) + sets);
  return many;
}

/** Orders against what the plan was made for and what is covered already. */
export function orderFaults(
  wanted: ReadonlyMap<string, number>,
  problem: Problem,
  rows: ReadonlyMap<string, Row>,
  progress: ReadonlyMap<string, Progress>,
): ReleaseFault[] {
  return [...wanted].flatMap(([code, rolls]) => {
    const row = rows.get(code);
    const frozen = problem.orders.find(({ id }) => id === code);
    if (!row || !frozen)
      return [{ about: code, wrong: 'is not an order line here', right: 'plan the orders of this plant' }];
    const wrong = orderFault(row, frozen, rolls, progress.get(code));
    return wrong === undefined ? [] : [{ about: code, wrong, right: 'plan what is left of the orders' }];
  });
}

function orderFault(
  row: Row,
  frozen: Order,
  rolls: number,
  progress: Progress | undefined,
): string | undefined {
  if (row.status === 'planned' && progress?.coming)
    return `is covered already: ${progress.coming} of its ${String(row.rolls)} rolls are at the machine`;
  if (row.status !== 'open') return `is ${String(row.status)}, not open`;
  if (row.product !== frozen.product || row.widthUm !== frozen.widthUm || row.lengthMm !== frozen.lengthMm)
    return 'has another product, width or length now than when it was planned';
  const taken = (progress?.made ?? 0) + (progress?.coming ?? 0);
  const most = mostRolls(row);
  if (taken + rolls <= most) return undefined;
  const covered = taken > 0 ? `${taken} rolls are made or at the machine already; ` : '';
  return `${covered}these runs make ${rolls}, and it may have ${most} in all`;
}

/** The most rolls that may be started for an order: its tolerance, or what it takes to get enough good ones. */
function mostRolls(row: Row): number {
  const { minRolls, maxRolls } = acceptedRolls(
    row.rolls as number,
    Number(row.overPct),
    Number(row.underPct),
  );
  if (!row.goodRollPct) return maxRolls;
  return Math.max(
    maxRolls,
    rollsToStart(minRolls, Number(row.goodRollPct) / 100, Number(row.completePct ?? 95) / 100),
  );
}
