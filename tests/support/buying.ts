// The purchaser's heavy questions for tests of pages: worked out here, at once, as the worker does.
import type { Jobs } from '../../src/jobs/jobs.ts';
import { compareWidths } from '../../src/usecases/buying/compareWidths.ts';
import { proposeBuying } from '../../src/usecases/buying/proposeBuying.ts';

const UNHURRIED = { secondsLeft: () => Infinity, report: () => {} };
/** A plan of a width improves as long as it may: a test has seconds. */
const SECONDS = 8;

export const buyingAtOnce: Jobs['buying'] = {
  proposal: async (state) => ({ answer: proposeBuying(state, UNHURRIED) }),
  widths: async (question) => {
    const until = performance.now() + SECONDS * 1000;
    const secondsLeft = () => (until - performance.now()) / 1000;
    return { answer: compareWidths(question, { secondsLeft, report: () => {} }) };
  },
};
