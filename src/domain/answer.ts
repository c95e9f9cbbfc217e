// The answer to a customer's question, with all that stands behind it: the checked plan that makes a yes, the proven
// bound that makes a no, what is kept for others, and the limits that bind, in words. Days are ISO dates.
import type { Plan, Run } from './plan.ts';
import type { ProblemDocument } from './problemDocument.ts';
import type { Question } from './question.ts';
import type { IsoDate } from './units.ts';

export type ProblemRoll = NonNullable<ProblemDocument['rolls']>[number];
export type ProblemOrder = ProblemDocument['orders'][number];

/** Whatever a question about a product is answered from, at one moment. */
export interface SalesState {
  today: IsoDate;
  product: string;
  /** Open orders and held quotes of the product, stock, film and offers; `orders` may be empty. */
  document: ProblemDocument;
  /** Finished rolls on the shelf that nobody has ordered or reserved. */
  finished: { code: string; widthUm: number; lengthMm: number }[];
  /** Base film left to orders of other products: by promises to the metre, by open orders as their areas need. */
  setAside: { product: string; rolls: string[]; why: 'promised' | 'open orders' }[];
}

/** What the existing orders keep: a whole plan of theirs, and of each order how many rolls by when. */
export interface Kept {
  runs: Run[];
  coating: Plan['coating'];
  /** Film that this plan buys, as rolls of stock that arrive. */
  bought: ProblemRoll[];
  orders: { id: string; rolls: number; by: IsoDate | undefined }[];
}

export type Verdict =
  /** All of it lies on the shelf. */
  | 'finished'
  /** From coated rolls, and from what is coated for others already. */
  | 'coated'
  | 'coat'
  | 'buy'
  /** So many by the day asked for, the rest later. */
  | 'part'
  /** All of it, later than asked. */
  | 'later'
  | 'no'
  /** A first answer: all of it by a later day; whether sooner, or some of it by the day, is being worked out. */
  | 'latest'
  /** A first answer: nothing is known yet, it is being worked out. */
  | 'working'
  /** Neither a plan nor a proof, however long it was looked for. */
  | 'open';

/** A plan with the problem that it was checked against. */
export interface Evidence {
  document: ProblemDocument;
  plan: Plan;
}

/** Proof that it cannot be made: in any plan at least so much film is missing, or so many hours up to the day. */
export interface Certificate {
  /** The problem in which nothing costs anything but falling short. */
  document: ProblemDocument;
  /** What is ready by this day counts; undefined: everything that can ever be had. */
  by: IsoDate | undefined;
  /** Proven: square metres that every plan lacks; 0 where the hours are too few. */
  missingM2: number;
  /** Proven: every plan takes more minutes of the slitters than there are up to the day. */
  minutes?: { needed: number; there: number };
  /** So many of the asked rolls are missing at least. */
  missingRolls: number;
  /** Proven over every choice of sets, rolls and days, film and hours together; then `missingM2` is 0. */
  days?: true;
}

export interface Answer {
  question: Question;
  verdict: Verdict;
  /** Codes of finished rolls that go into it. */
  fromShelf: string[];
  /** Rolls to be slit, and when all of them are made; undefined where they cannot be made. */
  toSlit: number;
  readyOn?: IsoDate;
  /** Of `later`, `part` (for the rest) and a yes without a day: is it proved that no plan is ready before that day? */
  earliest?: boolean;
  /** Of `part`: rolls by the day asked for, shelf included, and whether it is proved that no plan makes more. */
  part?: { rolls: number; by: IsoDate; proved?: boolean };
  /** Of a `no`: so many can be made at all. */
  possible?: number;
  /** Film has to be ordered by this day. */
  orderBy?: IsoDate;
  evidence?: Evidence;
  certificate?: Certificate;
  /** What binds, in words, the most telling first. */
  limits: string[];
  /** Existing orders that would have to give way, in words; only where the answer is not a yes. */
  wouldDisplace: string[];
  /** True when it could not be made by the day even with nothing else to make. */
  notEvenAlone?: boolean;
  /** Existing orders that are short or late with and without this one. */
  troubled: string[];
}

/** Marks a roll of film that the existing orders need to be bought: it stands in for stock. */
export const TO_COME = ' to come';

/** Names of the asked lines in a plan: no order is called so, because codes have no spaces. */
export const ASKED = 'asked rolls';
export const ASKED_LATER = 'asked rolls, later';

/** The days of a plan are kept where film allows: the price of a roll late by a day, in a plan for a promise. */
export const LATE_IN_PROMISES = 25;

export const isYes = ({ verdict }: Pick<Answer, 'verdict'>): boolean =>
  verdict === 'finished' || verdict === 'coated' || verdict === 'coat' || verdict === 'buy';
/** Can it be promised as it stands? */
export const canPromise = (answer: Pick<Answer, 'verdict'>): boolean =>
  isYes(answer) || answer.verdict === 'part' || isLater(answer);
/** All of it, but after the day asked for. */
export const isLater = ({ verdict }: Pick<Answer, 'verdict'>): boolean =>
  verdict === 'later' || verdict === 'latest';
