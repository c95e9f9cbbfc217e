// Small readers that the plan pages share: fields that may come several times, plan numbers, the plant's clock.
import type { Problem as PlanProblem } from '../../domain/problem.ts';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import { Problem } from '../errors.ts';

/** A form field that may come once, several times or not at all. */
export const manyOf = (value: unknown): string[] =>
  (Array.isArray(value) ? value : [value]).filter(
    (one): one is string => typeof one === 'string' && one !== '',
  );
/** A form field that comes once; empty when it is missing or comes several times. */
export const oneOf = (value: unknown): string => (typeof value === 'string' ? value : '');

const LARGEST_ID = 2_147_483_647;

/** The number of a plan in an address. Throws a 404 in words. */
export function planNumber(text: unknown): number {
  const id = Number(text);
  if (typeof text === 'string' && /^\d{1,10}$/.test(text) && id >= 1 && id <= LARGEST_ID) return id;
  throw new Problem(
    404,
    `There is no plan "${String(text)}".`,
    'A plan has a whole number; see the list of plans.',
  );
}

/** A day and time as the plant's clock shows it: 2027-03-01 14:05. */
export const clockTime = (time: Date): string => time.toLocaleString('sv-SE').slice(0, 16);

/** The frozen problem of a plan, read again. It was faultless when it was stored; if it is not now, that is a bug. */
export function frozenProblem(id: number, document: ProblemDocument): PlanProblem {
  const read = parseProblem(document);
  if (!read.ok) throw new Error(`the stored problem of plan ${id} can no longer be read`);
  return read.problem;
}
