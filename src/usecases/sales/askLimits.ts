// Why not, or not sooner: the limits that bind, in words with their numbers. Widths and lengths that no roll has, area by
// the day, the days that coating and buying take, and the reasons that the planner itself gives.
import {
  ASKED,
  type Certificate,
  type Evidence,
  type ProblemRoll,
  type SalesState,
} from '../../domain/answer.ts';
import { minutesUntil } from '../../domain/hoursTaken.ts';
import type { Question } from '../../domain/question.ts';
import { areaM2, mmToM, umToMm } from '../../domain/units.ts';
import { ROUND_THE_CLOCK, type WorkCalendar } from '../../domain/workCalendar.ts';
import { readyDays } from './askSources.ts';

const number = (value: number): string => value.toLocaleString('en-GB', { maximumFractionDigits: 1 });
const rollM2 = ({ widthMm, lengthM, count = 1 }: ProblemRoll): number => (count * widthMm * lengthM) / 1000;

/** `certificate`: what was proved to be too little, where it was. */
export function limitsOf(
  state: SalesState,
  certificate: Certificate | undefined,
  q: Question,
  toSlit: number,
  tried: Evidence | undefined,
): string[] {
  const size = sizeLimit(state, q);
  if (size) return [size];
  return [
    certificate && !certificate.minutes ? areaLimit(certificate, q, toSlit) : '',
    ...dayLimits(state, q),
    ...setAsideLimits(state),
    ...hoursLimits(state, q),
    ...(tried?.plan.orders.find(({ id }) => id === ASKED)?.reasons ?? []).map(
      (reason) => `The planner: ${reason}.`,
    ),
  ].filter((words) => words !== '');
}

/** A width or length that no roll, in the house or on offer, has between its trims. */
function sizeLimit({ document, product }: SalesState, q: Question): string {
  const trims = document.slitters.map(({ edgeTrimMinMm: trim }) => (trim?.left ?? 0) + (trim?.right ?? 0));
  const least = Math.min(...trims);
  const webs = [
    ...(document.rolls ?? []).map(({ widthMm, lengthM }) => ({ widthMm, lengthM })),
    ...(document.offers ?? []).map(({ widthMm, widthRangeMm, rollLengthM: lengthM }) => ({
      widthMm: widthMm ?? widthRangeMm?.max ?? 0,
      lengthM,
    })),
  ];
  if (webs.length === 0)
    return `There is no roll of ${product}, no film that it could be coated on, and no offer of such film.`;
  const widest = Math.max(...webs.map(({ widthMm }) => widthMm));
  const width = umToMm(q.widthUm);
  if (width > widest - least)
    return `No roll of ${product}, no film for it and no offer is wide enough for ${number(width)} mm: the widest is ${number(widest)} mm, of which at least ${number(least)} mm are trimmed.`;
  const longest = Math.max(
    ...webs.filter((web) => web.widthMm - least >= width).map(({ lengthM }) => lengthM),
  );
  const length = mmToM(q.lengthMm);
  return length > longest
    ? `No roll that is wide enough is ${number(length)} m long: the longest has ${number(longest)} m.`
    : '';
}

/** Read off the problem that proves it: what is ready by its day, and what is kept by then. */
function areaLimit({ document, by }: Certificate, q: Question, toSlit: number): string {
  const { rolls = [], offers = [], orders } = document;
  const sum = (of: readonly ProblemRoll[]) => of.reduce((total, roll) => total + rollM2(roll), 0);
  const base = sum(rolls.filter(({ kind }) => kind === 'base'));
  const coated = sum(rolls.filter(({ kind }) => kind !== 'base'));
  const keptM2 = orders
    .filter(({ id }) => id !== ASKED)
    .reduce((total, order) => total + (order.rolls * order.widthMm * order.lengthM) / 1000, 0);
  const film = base > 0 ? ` and ${number(base)} m² of film that can be coated` : '';
  const offered = offers.length > 0 ? ', beside film on offer' : '';
  const asked = toSlit * areaM2(q.widthUm, q.lengthMm);
  const when = by ? `By ${by} there are` : 'In all there are';
  const kept =
    keptM2 > 0 ? `orders due by then keep ${number(keptM2)} m²` : 'no order due by then keeps any of it';
  return `${when} ${number(coated)} m² coated${film}${offered}; ${kept}; ${number(toSlit)} rolls take ${number(asked)} m². All before trim, lead-in and bad places.`;
}

function dayLimits(state: SalesState, q: Question): string[] {
  if (!q.dueOn) return [];
  const days = readyDays(state);
  const words: string[] = [];
  const film = state.document.rolls?.some((roll) => roll.kind === 'base');
  if (film && days.coated > q.dueOn)
    words.push(`Film in the house could be coated by ${days.coated} at the earliest, after ${q.dueOn}.`);
  const soonest = (state.document.offers ?? [])
    .map(({ id, leadTimeDays = 0 }) => ({ id, day: days.bought(leadTimeDays) }))
    .sort((a, b) => a.day.localeCompare(b.day))[0];
  if (soonest && soonest.day > q.dueOn)
    words.push(
      `Film ordered today (offer ${soonest.id}) would be here and coated on ${soonest.day} at the earliest.`,
    );
  if ((state.document.offers ?? []).length === 0) words.push('No offer for its film is entered.');
  return words;
}

function setAsideLimits({ setAside }: SalesState): string[] {
  return setAside.map(
    ({ product, rolls, why }) =>
      `Film left to ${why === 'promised' ? 'promises' : 'open orders'} of ${product}: ${rolls.slice(0, 6).join(', ')}${rolls.length > 6 ? ` and ${rolls.length - 6} more` : ''}.`,
  );
}

/** Slitters of which others take a good part of the hours before the day. */
function hoursLimits({ document, today }: SalesState, { dueOn }: Question): string[] {
  if (!dueOn) return [];
  return document.slitters.flatMap(({ id, calendar }) => {
    if (!calendar?.taken?.length) return [];
    const { all, taken } = minutesUntil({ ...ROUND_THE_CLOCK, ...calendar } as WorkCalendar, today, dueOn);
    if (taken < WORTH_SAYING * all) return [];
    return [
      `Of the ${number(all / 60)} h that ${id} works up to ${dueOn}, other products and released runs take ${number(taken / 60)} h (orders estimated, each by itself; runs as planned).`,
    ];
  });
}
const WORTH_SAYING = 0.25;

/** Is the work the only thing in the way: the film is there by the day, but not the hours? */
export const waitsForTheSlitter = (q: Question, readyOn: string | undefined): string =>
  `The film is there by ${q.dueOn}, but with the orders before it the slitter is done with it ${readyOn ? `on ${readyOn}` : 'later'}. That no other order of runs makes it is not proved.`;
