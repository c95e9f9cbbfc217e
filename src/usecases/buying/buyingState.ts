// Freezes what the purchase is planned from in one snapshot: needs of film, offers with all their terms, suppliers with what
// holds for their orders, exchange rates of the day, how late deliveries came, and the strips that orders ask for. Plain data,
// so that a worker can take it.
import { group } from 'd3-array';
import type { Knex } from 'knex';
import { delayOf } from '../../domain/leadTime.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { CURRENCY } from '../../domain/resource.ts';
import type { IsoDate } from '../../domain/units.ts';
import { type OfferTerms, offerTerms, type SupplierHead, supplierHeads } from '../../store/buyingOffers.ts';
import { type RateOfDay, ratesOn } from '../../store/rates.ts';
import { deliveries } from '../../store/supplierRecord.ts';
import { freezeProblem } from '../planning/buildProblem.ts';
import { type GradeNeed, needsWithin } from './filmNeeds.ts';

/** The part of a problem that does not change with its orders and rolls. */
export type Machines = Omit<ProblemDocument, 'rolls' | 'offers' | 'orders'>;

export interface BuyingSettings {
  weeks: number;
  costPerOrder: number;
  holdingShare: number;
  serviceFactor: number;
}

export interface BuyingState {
  today: IsoDate;
  settings: BuyingSettings;
  /** Grades that something is needed of. */
  needs: GradeNeed[];
  offers: OfferTerms[];
  suppliers: SupplierHead[];
  rates: RateOfDay[];
  /** Days late of each delivery, by supplier. */
  delays: { supplier: string; days: number[] }[];
  /** Slitters and products of the orders that need film; undefined without orders or slitters. */
  machines: Machines | undefined;
}

export async function buyingState(db: Knex, today: IsoDate, settings: BuyingSettings): Promise<BuyingState> {
  return db.transaction(
    async (trx) => {
      const { grades } = await needsWithin(trx, today, settings.weeks);
      const needs = grades.filter(({ buyM2, orders }) => buyM2 > 1e-3 || orders.length > 0);
      const came = group(await deliveries(trx), ({ supplier }) => supplier);
      return {
        today,
        settings,
        needs,
        offers: await offerTerms(trx),
        suppliers: await supplierHeads(trx),
        rates: await ratesOn(trx, today),
        delays: [...came].map(([supplier, all]) => ({ supplier, days: all.map(delayOf) })),
        machines: await machinesFor(trx, needs, today),
      };
    },
    { isolationLevel: 'repeatable read', readOnly: true },
  );
}

async function machinesFor(
  trx: Knex,
  needs: readonly GradeNeed[],
  today: IsoDate,
): Promise<Machines | undefined> {
  const products = [...new Set(needs.flatMap(({ orders }) => orders.map(({ product }) => product)))].sort();
  if (products.length === 0) return undefined;
  try {
    const frozen = await freezeProblem(trx, { products, asking: true, planOn: today });
    const { rolls: _rolls, offers: _offers, orders: _orders, ...machines } = frozen;
    return machines;
  } catch (error) {
    if (error instanceof Refusal && error.code === 'no-slitter') return undefined;
    throw error;
  }
}

/** What one unit of a currency is worth in the plant's; undefined when no rate holds on the day. */
export const rateOf = (rates: readonly RateOfDay[], currency: string): number | undefined =>
  currency === CURRENCY ? 1 : rates.find((one) => one.currency === currency)?.rate;
