// What the purchaser's optimisation reads of suppliers: offers with all their terms, and what holds for a whole order. Widths
// whole um, lengths whole mm.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';

export interface OfferTerms {
  code: string;
  supplier: string;
  supplierName: string;
  grade: string;
  widthUm: number | null;
  widthMinUm: number | null;
  widthMaxUm: number | null;
  widthStepUm: number | null;
  rollLengthMm: number;
  /** Prices are in this currency. */
  currency: string;
  pricePerKg: number;
  breakFromKg: number | null;
  breakPricePerKg: number | null;
  minOrderKg: number;
  multipleKg: number | null;
  multipleRolls: number | null;
  leadTimeDays: number;
  leadSpreadDays: number | null;
  validUntil: IsoDate | null;
}

export async function offerTerms(db: Knex): Promise<OfferTerms[]> {
  return db('offers as o')
    .join('suppliers as s', 's.code', 'o.supplier')
    .orderBy('o.code')
    .select('o.code', 'o.supplier', 'o.grade', 'o.currency', {
      supplierName: 's.name',
      widthUm: 'o.width_um',
      widthMinUm: 'o.width_min_um',
      widthMaxUm: 'o.width_max_um',
      widthStepUm: 'o.width_step_um',
      rollLengthMm: 'o.roll_length_mm',
      pricePerKg: 'o.price_per_kg',
      breakFromKg: 'o.break_from_kg',
      breakPricePerKg: 'o.break_price_per_kg',
      minOrderKg: 'o.min_order_kg',
      multipleKg: 'o.multiple_kg',
      multipleRolls: 'o.multiple_rolls',
      leadTimeDays: 'o.lead_time_days',
      leadSpreadDays: 'o.lead_spread_days',
      validUntil: 'o.valid_until',
    });
}

export interface SupplierHead {
  code: string;
  name: string;
  /** The two amounts are in this currency. */
  currency: string;
  minOrderValue: number | null;
  containerKg: number | null;
  containerRolls: number | null;
  containerCost: number | null;
}

/** Suppliers with what holds for a whole order of theirs. */
export async function supplierHeads(db: Knex): Promise<SupplierHead[]> {
  return db('suppliers').orderBy('code').select('code', 'name', 'currency', {
    minOrderValue: 'min_order_value',
    containerKg: 'container_kg',
    containerRolls: 'container_rolls',
    containerCost: 'container_cost',
  });
}
