// Buckets of time for a purchase: on which days film can be needed, on which it is worth a supplier's while to come, and what
// each grade needs by each of its days. Days count from today, areas in m2.
import type { BuyingOffer, BuyingTask, FilmThere, GradeNeeds } from './purchaseTask.ts';

const MOST_DAYS = 14;
const NOTHING_M2 = 1e-6;

export interface Buckets {
  /** The first day of each, in order. */
  firsts: number[];
  /** The days of need that are put together in each. */
  days: number[][];
  /** The last day of need: stock is held until then. */
  end: number;
}

/** What a grade needs by each of the days on which something changes for it. */
export interface GradeDays {
  days: number[];
  /** By area, at each of the days. */
  areaM2: number[];
  /** Strips wanted by each of the days, for every strip that is wanted. */
  strips: { strip: number; byDay: number[] }[];
  /** Film there at each of the days, by width. */
  film: Map<number, number[]>;
}

/** Where needs change on many days, neighbours are put together: the most of them, on the first of them. */
export function bucketsOf(grades: readonly GradeNeeds[]): Buckets {
  const changes = grades.flatMap(({ needs, strips }) => [...needs, ...(strips?.needs ?? [])]);
  const changed = changes.filter(({ areaM2 }) => Math.abs(areaM2) > NOTHING_M2).map(({ day }) => day);
  const all = [...new Set(changed)].sort(upwards);
  const size = Math.max(1, Math.ceil(all.length / MOST_DAYS));
  const arrivals = grades.flatMap(({ strips }) => (strips?.film ?? []).map(({ day }) => day));
  const days: number[][] = [];
  for (const day of all) {
    const last = days.at(-1);
    const before = last?.at(-1) as number;
    // Film on the way arrives between two buckets, never within one.
    const arrives = last && arrivals.some((arrival) => arrival > before && arrival <= day);
    if (!last || last.length === size || arrives) days.push([day]);
    else last.push(day);
  }
  const firsts = days.map(([first]) => first as number);
  return { firsts, days, end: firsts.at(-1) ?? 0 };
}

const upwards = (a: number, b: number): number => a - b;

/**
 * The days on which film of a supplier may arrive: those on which one of its grades needs more, and the first of each offer.
 * On any other day it could as well come on one of these: cost is concave in the day between them.
 */
export function arrivalDays(task: BuyingTask, buckets: Buckets, offers: readonly BuyingOffer[]): number[] {
  const grades = task.grades.filter(({ grade }) => offers.some((offer) => offer.grade === grade));
  const firsts = buckets.firsts.filter((_, b) =>
    grades.some(({ needs, strips }) =>
      [...needs, ...(strips?.needs ?? [])].some(
        ({ day, areaM2 }) => areaM2 > NOTHING_M2 && buckets.days[b]?.includes(day),
      ),
    ),
  );
  return [...new Set([...firsts, ...offers.map(({ earliestDay }) => earliestDay)])].sort(upwards);
}

/** `arrivals`: the days on which film of the grade may come. */
export function daysOf(needs: GradeNeeds, buckets: Buckets, arrivals: readonly number[]): GradeDays {
  const there = (needs.strips?.film ?? []).map((film) => ({ ...film, day: countedOn(film, needs, buckets) }));
  const days = [...new Set([...buckets.firsts, ...arrivals, ...there.map(({ day }) => day)])].sort(upwards);
  const wanted = [...new Set((needs.strips?.needs ?? []).map(({ strip }) => strip))].sort(upwards);
  return {
    days,
    areaM2: days.map((day) => Math.max(0, ...upToEach(needs.needs, buckets, day))),
    strips: wanted.map((strip) => {
      const own = (needs.strips?.needs ?? []).filter((one) => one.strip === strip);
      return { strip, byDay: days.map((day) => Math.max(0, ...upToEach(own, buckets, day))) };
    }),
    film: new Map(
      [...new Set(there.map(({ widthUm }) => widthUm))].map((width) => [
        width,
        days.map((day) =>
          sumUpTo(
            there.filter(({ widthUm }) => widthUm === width),
            day,
          ),
        ),
      ]),
    ),
  };
}

/** What is needed by each of the days of the bucket in which this day lies. */
function upToEach(
  needs: readonly { day: number; areaM2: number }[],
  buckets: Buckets,
  day: number,
): number[] {
  const bucket = buckets.days.findLast(([first]) => (first as number) <= day) ?? [];
  return bucket.map((last) => sumUpTo(needs, last));
}

const sumUpTo = (all: readonly { day: number; areaM2: number }[], last: number): number =>
  all.reduce((m2, { day, areaM2 }) => (day <= last ? m2 + areaM2 : m2), 0);

/** Film comes with the first day of a bucket, unless its grade needs some in that bucket before: then with the next. */
function countedOn({ day }: FilmThere, { needs, strips }: GradeNeeds, { days }: Buckets): number {
  const b = days.findIndex((bucket) => day <= (bucket.at(-1) as number));
  const bucket = days[b];
  if (!bucket) return day;
  const first = bucket[0] as number;
  const before = [...needs, ...(strips?.needs ?? [])].some(
    (need) => need.areaM2 > NOTHING_M2 && need.day >= first && need.day < day,
  );
  return before ? Math.max(day, days[b + 1]?.[0] ?? day) : first;
}
