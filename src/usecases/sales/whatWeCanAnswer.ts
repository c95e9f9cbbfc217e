// What there is to answer from: the balance of all products, with the widths asked for and the rolls of one.
import type { Knex } from 'knex';
import { demandByWidth, type WidthDemand } from '../../store/balances.ts';
import { type RollToSee, rollsOfProduct } from '../../store/needs.ts';
import { stockAgainstOrders } from '../planning/stockAgainstOrders.ts';

export type { RollToSee, WidthDemand };

export async function whatThereIs(db: Knex, today: string, product: string | undefined) {
  const balances = await stockAgainstOrders(db, today);
  const chosen = balances.find((b) => b.product === product);
  if (!chosen) return { balances, chosen: undefined, widths: [], rolls: [] };
  const [widths, rolls] = await Promise.all([
    demandByWidth(db, chosen.product),
    rollsOfProduct(db, chosen.product),
  ]);
  return { balances, chosen, widths, rolls };
}
