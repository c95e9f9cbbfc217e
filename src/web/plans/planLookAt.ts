// What deserves a second look in a plan: orders that fall short or are late, bad places under the knives, rolls near
// their use-by day, saleable width going to waste, ends that are lost. Pure; each note says which run or roll it is about.

import { chanceOfEnough } from '../../domain/goodRolls.ts';
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { daysBetween, type IsoDate, umToMm } from '../../domain/units.ts';
import { EXPIRES_SOON_DAYS } from '../../usecases/whatNeedsDoing.ts';
import type { FieldGroup } from '../drawings/picturePlan.ts';
import { badPlaceWords } from '../rolls/badPlaceWords.ts';
import { count, grouped } from '../words.ts';

export interface Note {
  mark: 'stop' | 'look' | 'calm';
  words: string;
}

/** All notes, the most pressing first. */
export function lookAt(plan: Plan, problem: Problem, groups: readonly FieldGroup[]): Note[] {
  return [
    ...shortNotes(plan),
    ...lateNotes(plan),
    ...reserveNotes(plan, problem),
    ...groups
      .flatMap((group) => badPlaceWords(group.field, group.names))
      .map((words): Note => ({ mark: 'look', words })),
    ...useByNotes(problem, groups),
    ...wasteNotes(plan, problem),
    ...lostEndNotes(groups),
  ];
}

/** So many short orders are told one by one; more are in the table of orders. */
const MOST_TOLD = 3;

function shortNotes(plan: Plan): Note[] {
  const short = plan.orders.filter((order) => order.short > 0);
  if (short.length > MOST_TOLD)
    return [
      {
        mark: 'stop',
        words: `${grouped(short.length)} orders fall short; each says why in the table of orders.`,
      },
    ];
  return short.map((order) => ({
    mark: 'stop',
    words: `${order.id} falls ${count(order.short, 'roll')} short${order.reasons.length > 0 ? `: ${order.reasons.join('; ')}` : ''}.`,
  }));
}

function lateNotes(plan: Plan): Note[] {
  const late = plan.orders.filter((order) => order.lateDays > 0);
  if (late.length > MOST_TOLD) {
    const most = Math.max(...late.map((order) => order.lateDays));
    const words = `${grouped(late.length)} orders are late, by up to ${count(most, 'day')}; each says why in the table of orders.`;
    return [{ mark: 'look', words }];
  }
  return late.map((order) => ({
    mark: 'look',
    words:
      order.reasons.length > 0 && order.short === 0
        ? `${order.id} is late: ${order.reasons.join('; ')}.`
        : `${order.id} is ${count(order.lateDays, 'day')} late${order.readyOn ? `, ready on ${order.readyOn}` : ''}.`,
  }));
}

/** Orders of which more rolls are started than ordered, because not every roll comes out good. */
const reserveNotes = (plan: Plan, problem: Problem): Note[] =>
  plan.orders.flatMap(({ id, planned }) => {
    const order = problem.orders.find((one) => one.id === id);
    if (!order?.good || planned === 0) return [];
    const { share } = order.good;
    const chance = Math.floor(1000 * chanceOfEnough(order.rolls, planned, share)) / 10;
    return [
      {
        mark: 'calm' as const,
        words: `${count(planned, 'roll')} of ${id} are started: at ${grouped(100 * share)} % good ones, ${grouped(order.rolls)} come out good with a chance of ${grouped(chance, 1)} %.`,
      },
    ];
  });

/** Rolls of the plan whose use-by day is near; `planOn` is the day from which the plan counts. */
function useByNotes(problem: Problem, groups: readonly FieldGroup[]): Note[] {
  const { planOn } = problem;
  if (planOn === undefined) return [];
  return groups.flatMap(({ rolls, names }) => {
    const stem = rolls[0]?.replace(/#\d+$/, '');
    const useBy = problem.rolls.find((roll) => roll.id === rolls[0] || roll.id === stem)?.useBy;
    if (useBy === undefined || daysBetween(planOn as IsoDate, useBy) > EXPIRES_SOON_DAYS) return [];
    return [{ mark: 'look' as const, words: `${names} must be used by ${useBy}.` }];
  });
}

/** Waste strips as wide as the narrowest order of the plan: something might be sold from them. */
function wasteNotes(plan: Plan, problem: Problem): Note[] {
  const narrowest = Math.min(...problem.orders.map((order) => umToMm(order.widthUm)));
  return plan.runs.flatMap((run) =>
    run.strips
      .filter((strip) => strip.waste && strip.toMm - strip.fromMm >= narrowest)
      .map((strip) => ({
        mark: 'calm' as const,
        words: `${grouped(strip.toMm - strip.fromMm)} mm x ${grouped(run.sets * run.lengthM)} m goes to waste in run ${run.sequence}, though ${grouped(narrowest)} mm would fit into it.`,
      })),
  );
}

const lostEndNotes = (groups: readonly FieldGroup[]): Note[] =>
  groups.flatMap(({ field, names, rolls }) => {
    const end = field.rests.find((rest) => rest.use === 'lost' && rest.toM === field.lengthM);
    if (!end) return [];
    const each = rolls.length > 1 ? ' each' : '';
    return [
      {
        mark: 'calm' as const,
        words: `${grouped(end.toM - end.fromM, 1)} m at the end of ${names}${each} is too short to keep.`,
      },
    ];
  });
