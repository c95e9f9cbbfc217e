// Plans one problem file within so many seconds and prints, as JSON, what that took: run by memorySection.ts in a process
// of its own.
import fs from 'node:fs';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';

export interface Measured {
  orders: number;
  /** The most that the process had resident. */
  megabytes: number;
  /** By the clock. */
  spent: number;
  gapPct: number;
}

const [, , file = '', seconds] = process.argv;
const document = fs.readFileSync(file);
const start = performance.now();
const made = makePlan(document, {
  secondsLeft: () => Number(seconds) - (performance.now() - start) / 1000,
  report: () => {},
});
if (!made.ok) throw new Error(JSON.stringify(made.faults));
const { orders, bound } = made.plan;
const measured: Measured = {
  orders: orders.length,
  megabytes: process.resourceUsage().maxRSS / 1024,
  spent: (performance.now() - start) / 1000,
  gapPct: bound.gapPct,
};
process.stdout.write(JSON.stringify(measured));
