// What a customer asks for: finished rolls of a product, width and length, how many, by when, with which tolerance.
// Whole um and mm inside. Two questions that ask for the same have the same key.
import { acceptedRolls } from './filmMath.ts';
import { type IsoDate, type Mm, mmToM, type Um, umToMm } from './units.ts';

export interface Question {
  product: string;
  widthUm: Um;
  lengthMm: Mm;
  rolls: number;
  /** The day on which all rolls are to be made; undefined: as soon as can be. */
  dueOn: IsoDate | undefined;
  overPct: number;
  underPct: number;
}

/** The fewest and the most rolls that the customer takes. */
export const rollsTaken = (q: Question): { minRolls: number; maxRolls: number } =>
  acceptedRolls(q.rolls, q.overPct, q.underPct);

/** One text for all ways of asking the same. */
export const questionKey = (q: Question): string =>
  JSON.stringify([q.product, q.widthUm, q.lengthMm, q.rolls, q.dueOn ?? '', q.overPct, q.underPct]);

/** "+/-10 %", "+5/-10 %", "+10 %"; empty when exactly so many are wanted. */
export function toleranceText({ overPct, underPct }: Pick<Question, 'overPct' | 'underPct'>): string {
  if (overPct === underPct) return overPct === 0 ? '' : `+/-${overPct} %`;
  const over = overPct > 0 ? `+${overPct}` : '';
  const under = underPct > 0 ? `-${underPct}` : '';
  return `${[over, under].filter((part) => part !== '').join('/')} %`;
}

/** The question as one line, which reads back as the same question: 40 x 83 mm x 300 m CP-10 by 2027-03-17. */
export function questionLine(q: Question): string {
  const size = `${q.rolls} x ${umToMm(q.widthUm)} mm x ${mmToM(q.lengthMm)} m ${q.product}`;
  const tolerance = toleranceText(q);
  return `${size}${q.dueOn ? ` by ${q.dueOn}` : ''}${tolerance ? ` ${tolerance}` : ''}`;
}
