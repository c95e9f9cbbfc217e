// Freezes what the purchase is planned from in one snapshot: needs of film, offers with all their terms, suppliers with what
// holds for their orders, exchange rates of the day, how late deliveries came, and the strips that orders ask for. Plain data,
// so that a worker can take it.
import { group } from 'd3-array';
import type { Knex } from 'knex';
import { delayOf } from '../../domain/leadTime.ts';
import { CURRENCY } from '../../domain/resource.ts';
import type { IsoDate } from '../../domain/units.ts';
import {
  type OfferTerms,
  offerTerms,
  type ProductStrips,
  type SupplierHead,
  stripsAsked,
  supplierHeads,
} from '../../store/buyingOffers.ts';
import { type RateOfDay, ratesOn } from '../../store/rates.ts';
import { deliveries } from '../../store/supplierRecord.ts';
import { type GradeNeed, needsWithin } from './filmNeeds.ts';

export interface BuyingSettings {
  weeks: number;
  costPerOrder: number;
  holdingShare: number;
  serviceFactor: number;
}

export interface BuyingState {
  today: IsoDate;
  settings: BuyingSettings;
  /** Grades of which something has to be bought. */
  needs: GradeNeed[];
  offers: OfferTerms[];
  suppliers: SupplierHead[];
  rates: RateOfDay[];
  /** Days late of each delivery, by supplier. */
  delays: { supplier: string; days: number[] }[];
  strips: ProductStrips[];
}

export async function buyingState(db: Knex, today: IsoDate, settings: BuyingSettings): Promise<BuyingState> {
  return db.transaction(
    async (trx) => {
      const { grades } = await needsWithin(trx, today, settings.weeks);
      const came = group(await deliveries(trx), ({ supplier }) => supplier);
      return {
        today,
        settings,
        needs: grades.filter(({ buyM2 }) => buyM2 > 1e-3),
        offers: await offerTerms(trx),
        suppliers: await supplierHeads(trx),
        rates: await ratesOn(trx, today),
        delays: [...came].map(([supplier, all]) => ({ supplier, days: all.map(delayOf) })),
        strips: await stripsAsked(trx),
      };
    },
    { isolationLevel: 'repeatable read', readOnly: true },
  );
}

/** What one unit of a currency is worth in the plant's; undefined when no rate holds on the day. */
export const rateOf = (rates: readonly RateOfDay[], currency: string): number | undefined =>
  currency === CURRENCY ? 1 : rates.find((one) => one.currency === currency)?.rate;
