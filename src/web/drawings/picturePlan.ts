// Lays the runs of a plan on the rolls they come from: one field per roll, and one for all rolls that are cut alike
// ("x 12"). Positions along follow the plan's startM; each set takes its finished length and the slitter's tail.
// Units: decimal mm and m out, as the plan has them; the problem's whole um and mm in.
import type { Plan, Run, RunFrom } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM } from '../../domain/units.ts';
import { grouped } from '../words.ts';
import type { Bed, Field, Lane, Rest } from './pictureShapes.ts';
import { endOfSets, type WebRoll, webRoll } from './webRolls.ts';

/** Rolls cut alike, drawn once. */
export interface FieldGroup {
  field: Field;
  rolls: string[];
  /** The product or grade of the rolls. */
  item: string;
  /** "R7030", "R7030#1 to #12", "R7030 and R7031": for the head line. */
  names: string;
}

const ALMOST_NOTHING_M = 0.0005;

/** A tone (label colour and hatch) per order, the same on every picture and table of a page. */
export function tonesOf(plan: Plan): Map<string, number> {
  return new Map(plan.orders.map((order, index) => [order.id, index]));
}

/** All fields of a plan, in the order in which the slitters reach the rolls. */
export function fieldsOfPlan(plan: Plan, problem: Problem): FieldGroup[] {
  const tones = tonesOf(plan);
  const byRoll = new Map<string, { run: Run; from: RunFrom }[]>();
  for (const run of [...plan.runs].sort((a, b) => a.sequence - b.sequence))
    for (const from of run.from) byRoll.set(from.roll, [...(byRoll.get(from.roll) ?? []), { run, from }]);

  const groups = new Map<string, FieldGroup>();
  for (const [roll, takes] of byRoll) {
    const shape = webRoll(roll, plan, problem);
    const beds = takes
      .map(({ run, from }) => bedOf(run, from, shape, problem, tones))
      .sort((a, b) => a.fromM - b.fromM);
    const { widthMm, lengthM, bad } = shape;
    const rests = restsOf(roll, shape, beds, plan);
    const field: Field = { id: '', title: '', widthMm, lengthM, bad, beds, rests };
    const alike = JSON.stringify([shape, beds, field.rests]);
    const known = groups.get(alike);
    if (known === undefined) groups.set(alike, { field, rolls: [roll], item: shape.item, names: roll });
    else known.rolls.push(roll);
  }
  return [...groups.values()].map(named);
}

function named(group: FieldGroup, index: number): FieldGroup {
  const names = rollNames(group.rolls);
  const many = group.rolls.length > 1 ? `, ${group.rolls.length} rolls cut alike` : '';
  const runs = group.field.beds.length === 1 ? '1 run' : `${group.field.beds.length} runs`;
  const title = `Roll ${names}${many}, seen from above: ${runs}`;
  return { ...group, names, field: { ...group.field, id: `field-${index + 1}`, title } };
}

/** "A#1 to #12" when the numbers follow each other, else a list. */
export function rollNames(rolls: readonly string[]): string {
  const parts = rolls.map((roll) => /^(.*)#(\d+)$/.exec(roll));
  const first = parts[0];
  const follow = parts.every(
    (part, i) => part && first && part[1] === first[1] && Number(part[2]) === Number(first[2]) + i,
  );
  if (rolls.length > 2 && follow) return `${rolls[0]} to #${parts.at(-1)?.[2]}`;
  return rolls.length < 2 ? (rolls[0] ?? '') : `${rolls.slice(0, -1).join(', ')} and ${rolls.at(-1)}`;
}

/** Width of the web that a roll of the plan gives, in mm. */
export const webWidthMm = (roll: string, plan: Plan, problem: Problem): number =>
  webRoll(roll, plan, problem).widthMm;

/** All lanes of a run across a web of `widthMm`, trims included. */
export function lanesOf(run: Run, widthMm: number, tones: Map<string, number>): Lane[] {
  const lanes: Lane[] = run.strips.map((strip) => {
    const place = { fromMm: strip.fromMm, toMm: strip.toMm };
    if (strip.order !== undefined)
      return { ...place, use: 'order', order: strip.order, tone: tones.get(strip.order) ?? 0 };
    return { ...place, use: strip.filler === undefined ? 'waste' : 'filler' };
  });
  const left = lanes[0]?.fromMm ?? 0;
  const right = lanes.at(-1)?.toMm ?? widthMm;
  if (left > 0) lanes.unshift({ fromMm: 0, toMm: left, use: 'trim' });
  if (right < widthMm) lanes.push({ fromMm: right, toMm: widthMm, use: 'trim' });
  return lanes;
}

function bedOf(run: Run, from: RunFrom, shape: WebRoll, problem: Problem, tones: Map<string, number>): Bed {
  const slitter = problem.slitters.find((one) => one.id === run.slitter);
  const perSet = { lengthM: run.lengthM, tailM: mmToM(slitter?.tailMm ?? 0) };
  return {
    name: `run ${run.sequence}`,
    anchor: `run-${run.sequence}`,
    fromM: from.startM,
    toM: Math.min(shape.lengthM, endOfSets(from, perSet, shape)),
    sets: from.sets,
    lengthM: run.lengthM,
    lanes: lanesOf(run, shape.widthMm, tones),
  };
}

/** What lies between and behind the beds: lead-in, cut-outs, the stub. */
function restsOf(roll: string, shape: WebRoll, beds: readonly Bed[], plan: Plan): Rest[] {
  const rests: Rest[] = [];
  let at = 0;
  for (const bed of beds) {
    if (bed.fromM - at > ALMOST_NOTHING_M)
      rests.push({ fromM: at, toM: bed.fromM, use: 'lost', words: gapWords(shape, at, bed.fromM) });
    at = Math.max(at, bed.toM);
  }
  if (shape.lengthM - at <= ALMOST_NOTHING_M) return rests;
  const stub = plan.stubs.find((one) => one.roll === roll);
  const length = `${grouped(shape.lengthM - at, 1)} m`;
  const kept = shape.restIsFilm ? `base film ${length}, not coated, kept` : `stub ${length}, kept`;
  const words = stub?.keep ? kept : `${length} left, too short to keep`;
  return [...rests, { fromM: at, toM: shape.lengthM, use: stub?.keep ? 'stub' : 'lost', words }];
}

/** Why no set takes these metres: the thread-up, or a bad place that is passed over. */
function gapWords(roll: WebRoll, fromM: number, toM: number): string {
  const kinds = roll.bad.filter((bad) => bad.fromM < toM && bad.toM > fromM).map((bad) => bad.kind);
  if (kinds.length > 0)
    return `${fromM === 0 ? 'lead-in, ' : ''}passed over: ${[...new Set(kinds)].join(', ')}`;
  return fromM === 0 ? 'lead-in' : 'passed over';
}
