// Freezes the stock and the demand of one day into a planning problem, the file lanewright-problem/1: open orders, the
// products and slitters they need, released stock that is not past use-by, base film they may be coated on, offers.
// What is not known is left out, so that the format's own defaults hold.
import type { Knex } from 'knex';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { CURRENCY, type Row } from '../../domain/resource.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { fillersOf, offersOf, openOrders, rowsByCode, usableRolls } from '../../store/planningRows.ts';
import {
  PLANT_COSTS,
  problemOffer,
  problemOrder,
  problemProduct,
  problemRoll,
  problemSlitter,
} from './problemParts.ts';

export interface ProblemScope {
  /** Product codes; left out: all products with open orders. */
  products?: string[];
  /** Order codes; left out: all open orders of the products. */
  orders?: string[];
  /** Whether patterns may be filled up with catalogue widths. */
  fill?: boolean;
  /** A question is asked about the products: their film is frozen even where no order is open. */
  asking?: boolean;
  /** The plant's day: stock is judged and dates are counted from it. */
  planOn: IsoDate;
}

/** The problem document. Throws the Refusal `nothing-to-plan` when no open order is within the scope. */
export async function buildProblem(db: Knex, scope: ProblemScope): Promise<ProblemDocument> {
  return db.transaction((trx) => freezeProblem(trx, scope), {
    isolationLevel: 'repeatable read',
    readOnly: true,
  });
}

/** The same within a transaction of the caller's. */
export async function freezeProblem(db: Knex, scope: ProblemScope): Promise<ProblemDocument> {
  const orders = await openOrders(db, scope);
  if (orders.length === 0 && !scope.asking)
    throw new Refusal('nothing-to-plan', { scope: scope.orders ?? scope.products ?? [] });
  const wanted = scope.asking ? (scope.products ?? []) : orders.map((order) => order.product as string);
  const products = await rowsByCode(db, 'products', distinct(wanted));
  const grades = distinct(products.flatMap((product) => product.grades as string[]));
  const codes = products.map((product) => product.code as string);
  const rolls = await usableRolls(db, { products: codes, grades, planOn: scope.planOn });
  return {
    format: 'lanewright-problem/1',
    planOn: scope.planOn,
    currency: CURRENCY,
    slitters: (await slittersFor(db, products)).map(problemSlitter),
    products: products.map(problemProduct),
    grades: (await rowsByCode(db, 'grades', grades)).map((grade) => ({
      id: grade.code as string,
      thicknessUm: grade.thicknessUm as number,
      densityGPerCm3: grade.densityGPerCm3 as number,
    })),
    rolls: rolls.map(problemRoll),
    offers: (await offersOf(db, grades, scope.planOn)).map(problemOffer),
    orders: orders.map(problemOrder),
    costs: PLANT_COSTS,
    ...(scope.fill ? { fillers: (await fillersOf(db, codes)).map(problemFiller) } : {}),
  };
}

function problemFiller(row: Row): NonNullable<ProblemDocument['fillers']>[number] {
  return {
    product: row.product as string,
    widthMm: umToMm(row.widthUm as number),
    lengthM: mmToM(row.lengthMm as number),
    valuePerRoll: Number(row.valuePerRoll),
    maxRolls: Number(row.maxRolls),
  };
}

const distinct = (codes: readonly string[]): string[] => [...new Set(codes)];

async function slittersFor(db: Knex, products: readonly Row[]): Promise<Row[]> {
  const named = products.map((product) => product.slitters as string[]);
  const slitters = await rowsByCode(
    db,
    'slitters',
    named.some((codes) => codes.length === 0) ? undefined : distinct(named.flat()),
  );
  if (slitters.length === 0)
    throw new Refusal('no-slitter', { products: products.map((p) => p.code as string) });
  return slitters;
}
