// Product by product: the area that open orders ask for, the coated area on hand, and the base film it could be coated
// on. Areas are whole rolls, before trim and lead-in: when the area alone is short, no plan can meet all orders from it.
import type { Knex } from 'knex';
import {
  type Demand,
  gradesOfProducts,
  type Holding,
  holdings,
  openDemand,
  productHeads,
} from '../../store/balances.ts';

export interface ProductBalance extends Demand {
  /** Coated rolls and stubs that are released and not past use-by, m2. */
  coatedM2: number;
  /** The same, on hold or in quarantine, m2. */
  heldM2: number;
  /** What the orders ask for beyond coatedM2; 0 when they do not. */
  shortM2: number;
  /** Days that coating takes. */
  coatingLeadDays: number;
  /** Grades it may be coated on, the preferred first. */
  grades: string[];
  /** Released base film of these grades, m2. */
  filmM2: number;
  /** The same, on hold or in quarantine. */
  heldFilmM2: number;
  /** Film missing for shortM2 even if this product had all of it; 0 when there is enough. */
  missingFilmM2: number;
  /** Other products that are short and may be coated on the same grades. */
  sharedWith: string[];
}

/** The balance of every product, those without open orders too. `today` is yyyy-mm-dd. */
export async function stockAgainstOrders(db: Knex, today: string): Promise<ProductBalance[]> {
  // One after the other: within a transaction they share one connection.
  const products = await productHeads(db);
  const demands = await openDemand(db);
  const stock = await holdings(db, today);
  const usable = await gradesOfProducts(db);
  const balances = products.map(({ product, name, coatingLeadDays }) => {
    const none = { product, name, orders: 0, areaM2: 0, firstDue: null };
    const demand = demands.find((d) => d.product === product) ?? none;
    const grades = usable.filter((u) => u.product === product).map((u) => u.grade);
    return { ...balanceOf(demand, grades, stock), coatingLeadDays };
  });
  for (const balance of balances) balance.sharedWith = othersWanting(balance, balances);
  return balances;
}

function areaOf(stock: Holding[], isOurs: (one: Holding) => boolean): number {
  return stock.filter(isOurs).reduce((sum, one) => sum + one.areaM2, 0);
}

function balanceOf(
  demand: Demand,
  grades: string[],
  stock: Holding[],
): Omit<ProductBalance, 'coatingLeadDays'> {
  const coated = (one: Holding) => one.kind !== 'base' && one.item === demand.product;
  const film = (one: Holding) => one.kind === 'base' && grades.includes(one.item);
  const free = (one: Holding) => one.status === 'released';
  const coatedM2 = areaOf(stock, (one) => coated(one) && free(one));
  const filmM2 = areaOf(stock, (one) => film(one) && free(one));
  const shortM2 = Math.max(0, demand.areaM2 - coatedM2);
  return {
    ...demand,
    coatedM2,
    heldM2: areaOf(stock, (one) => coated(one) && !free(one)),
    shortM2,
    grades,
    filmM2,
    heldFilmM2: areaOf(stock, (one) => film(one) && !free(one)),
    missingFilmM2: Math.max(0, shortM2 - filmM2),
    sharedWith: [],
  };
}

function othersWanting(balance: ProductBalance, all: ProductBalance[]): string[] {
  if (balance.shortM2 === 0) return [];
  return all
    .filter(
      (b) =>
        b.product !== balance.product && b.shortM2 > 0 && b.grades.some((g) => balance.grades.includes(g)),
    )
    .map((b) => b.product);
}
