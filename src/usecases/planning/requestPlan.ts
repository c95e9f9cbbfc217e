// Asks for a plan: freezes the problem as it stands now (from the tables, or from a file) and queues it.
// The form's faults are named field by field; a file's faults by their JSON path. Nothing is stored when there is one.
import type { Knex } from 'knex';
import { type Fault, type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import type { IsoDate } from '../../domain/units.ts';
import { buildProblem } from './buildProblem.ts';
import { queuePlan, SECONDS_MOST, SECONDS_USUAL } from './queuePlan.ts';
import { readOpenDemand } from './readOpenDemand.ts';

/** As chosen on the page. */
export interface PlanChoice {
  orders: string[];
  /** As typed; empty for the usual. */
  seconds: string;
  /** Whether patterns may be filled up with catalogue widths. */
  fill?: boolean;
}

export interface FieldFault {
  field: 'orders' | 'seconds' | 'file';
  wrong: string;
  right: string;
}
export type PlanRequest = { ok: true; id: number } | { ok: false; faults: FieldFault[] };
export type FileRequest = { ok: true; id: number } | { ok: false; faults: FieldFault[]; fileFaults: Fault[] };

/** Freezes a problem of the chosen open orders and queues it. Refuses with plan-queue-full. */
export async function requestPlan(db: Knex, choice: PlanChoice, today: IsoDate): Promise<PlanRequest> {
  const seconds = readSeconds(choice.seconds);
  const open = await readOpenDemand(db, today);
  const productOf = new Map(
    open.flatMap((product) => product.orders.map((order) => [order.code, product.code])),
  );
  const faults = [
    ...(typeof seconds === 'number' ? [] : [seconds]),
    ...orderFaults(choice.orders, productOf),
  ];
  if (typeof seconds !== 'number' || faults.length > 0) return { ok: false, faults };
  const orders = [...new Set(choice.orders)];
  const products = [...new Set(orders.map((code) => productOf.get(code)!))].sort();
  const problem = await buildProblem(db, { products, orders, fill: choice.fill ?? false, planOn: today });
  const read = parseProblem(problem);
  if (!read.ok) return { ok: false, faults: read.faults.map(stockFault) };
  return {
    ok: true,
    id: await queuePlan(db, { title: titleOf(problem), products, problem, secondsLimit: seconds }),
  };
}

/** Queues a problem given as a file or pasted text. Refuses with plan-queue-full. */
export async function requestPlanFromFile(
  db: Knex,
  file: string | Uint8Array,
  typed: string,
): Promise<FileRequest> {
  const seconds = readSeconds(typed);
  const read = parseProblem(file);
  if (typeof seconds !== 'number' || !read.ok) {
    const faults = typeof seconds === 'number' ? [] : [seconds];
    return { ok: false, faults, fileFaults: read.ok ? [] : read.faults };
  }
  const problem = read.document;
  const products = [...new Set(problem.orders.map((order) => order.product))].sort();
  const id = await queuePlan(db, { title: titleOf(problem), products, problem, secondsLimit: seconds });
  return { ok: true, id };
}

/** "CP-10, 6 orders" */
function titleOf(problem: ProblemDocument): string {
  const products = [...new Set(problem.orders.map((order) => order.product))].sort();
  const shown =
    products.length > 4
      ? `${products.slice(0, 3).join(', ')} and ${products.length - 3} more`
      : products.join(', ');
  return `${shown}, ${problem.orders.length} ${problem.orders.length === 1 ? 'order' : 'orders'}`;
}

function readSeconds(typed: string): number | FieldFault {
  const text = typed.trim().replace(',', '.');
  if (text === '') return SECONDS_USUAL;
  const seconds = Number(text);
  if (/^\d+(\.\d+)?$/.test(text) && seconds >= 1 && seconds <= SECONDS_MOST) return seconds;
  return {
    field: 'seconds',
    wrong: `"${typed}" is not a time limit`,
    right: `a number of seconds from 1 to ${SECONDS_MOST}`,
  };
}

function orderFaults(orders: readonly string[], known: ReadonlyMap<string, string>): FieldFault[] {
  if (orders.length === 0)
    return [{ field: 'orders', wrong: 'no order is chosen', right: 'tick at least one order' }];
  return orders
    .filter((code) => !known.has(code))
    .map((code) => ({
      field: 'orders',
      wrong: `${code} is not an open order`,
      right: 'choose from the list below',
    }));
}

/** The tables hold something that no problem may have: say it as the problem file does. */
const stockFault = ({ path, wrong, right }: Fault): FieldFault => ({
  field: 'orders',
  wrong: `what is stored cannot be planned: ${path} ${wrong}`,
  right,
});
