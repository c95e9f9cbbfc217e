// Net requirement of one grade of base film, week by week: what is asked for and what arrives, against what lies in stock
// and the safety stock. Days decide when film runs short; weeks are only how it is shown. Areas in m2.
import type { IsoDate } from './units.ts';
import { mondayOf, weeksFrom } from './weeks.ts';

/** Something asked for on a day, or something that arrives on it. */
export interface FilmEvent {
  day: IsoDate;
  areaM2: number;
  what: 'order' | 'forecast' | 'delivery';
  /** The order, the forecast or the purchase order. */
  code: string;
}

export interface WeekOfFilm {
  monday: IsoDate;
  ordersM2: number;
  forecastM2: number;
  arrivesM2: number;
  /** In stock at the end of the week when nothing more is bought; negative: missing. */
  endM2: number;
  /** To be had in this week beyond all weeks before, so that stock never falls below the safety stock. */
  netM2: number;
  /** The most that is missing to the safety stock on a day of this week, when nothing more is bought. */
  lackM2: number;
}

export interface NetRequirement {
  weeks: WeekOfFilm[];
  /** The first day on which stock falls below the safety stock, and below nothing. */
  belowSafetyOn: IsoDate | undefined;
  shortOn: IsoDate | undefined;
}

/** A tenth of a square centimetre is no film. */
const NOTHING_M2 = 1e-5;

/** What lies before `today` counts for today; what lies behind the last week is left out. */
export function netRequirement(given: {
  today: IsoDate;
  weeks: number;
  stockM2: number;
  safetyM2: number;
  events: readonly FilmEvent[];
}): NetRequirement {
  const { today, safetyM2 } = given;
  const mondays = weeksFrom(today, given.weeks);
  const events = given.events.map((event) => (event.day < today ? { ...event, day: today } : event));
  let stock = given.stockM2;
  let missing = 0;
  let before = 0;
  const first: Pick<NetRequirement, 'belowSafetyOn' | 'shortOn'> = {
    belowSafetyOn: undefined,
    shortOn: undefined,
  };
  const weeks = mondays.map((monday, w) => {
    const here = events.filter(({ day }) => mondayOf(day) === monday);
    const days = here.map(({ day }) => day);
    let lackM2 = 0;
    for (const day of [...new Set([w === 0 ? today : monday, ...days])].sort()) {
      const ofDay = here.filter((event) => event.day === day);
      // What arrives on a day is there for what is asked for on it.
      stock += sum(ofDay, 'delivery') - sum(ofDay, 'order') - sum(ofDay, 'forecast');
      lackM2 = Math.max(lackM2, safetyM2 - stock);
      missing = Math.max(missing, safetyM2 - stock);
      if (stock < safetyM2 - NOTHING_M2) first.belowSafetyOn ??= day;
      if (stock < -NOTHING_M2) first.shortOn ??= day;
    }
    const netM2 = missing - before;
    before = missing;
    return {
      monday,
      ordersM2: sum(here, 'order'),
      forecastM2: sum(here, 'forecast'),
      arrivesM2: sum(here, 'delivery'),
      endM2: stock,
      netM2,
      lackM2,
    };
  });
  return { weeks, ...first };
}

const sum = (events: readonly FilmEvent[], what: FilmEvent['what']): number =>
  events.reduce((m2, event) => (event.what === what ? m2 + event.areaM2 : m2), 0);
