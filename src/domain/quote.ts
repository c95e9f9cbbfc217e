// What it costs to say yes: the floor of a quote, each part with where it comes from, the price of the rush, and what the
// customer could change to make it cheaper or possible. Money in the problem's currency.
import type { Question } from './question.ts';
import type { IsoDate } from './units.ts';

export interface QuoteLine {
  what: 'film' | 'bought film' | 'set-ups' | 'running' | 'rolls that do not come out good';
  amount: number;
  /** Where the number comes from, in words. */
  source: string;
}

/** What the customer could change, with what comes of it. */
export interface CounterOffer {
  what: 'tolerance' | 'width' | 'date';
  question: Question;
  /** Can it be made so, by its day? */
  possible: boolean;
  readyOn: IsoDate | undefined;
  /** What it adds to the cost of all orders by the proven bounds, per m2; undefined where it cannot be made. */
  perM2: number | undefined;
}

/** The least cost of all orders with the day less the least cost without it. */
export interface Rush {
  /** By the best plans known. */
  byPlans: number;
  /** Proven: it is not less, and not more. */
  atLeast: number;
  atMost: number;
  /** Both are the same. */
  proved: boolean;
}

export interface Quote {
  currency: string;
  lines: QuoteLine[];
  /** Sum of the lines. */
  planned: number;
  /** The same from the marginal value of one more roll; undefined where film is short. */
  marginal: number | undefined;
  /** The higher of the two: below this the plant pays. */
  floor: number;
  /** Rolls that it is for. */
  rolls: number;
  perM2: number;
  /** What the day costs; undefined where none is asked for, or no plan without it is known. */
  rush: Rush | undefined;
  /** As asked, of the same kind as the offers' `perM2`, to be held against them. */
  asAskedPerM2: number | undefined;
  offers: CounterOffer[];
}
