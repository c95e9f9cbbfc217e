// Exchange rates: which currencies have any, and what holds on a day. The same rule in SQL is in_plant_currency (migration 014).
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';

/** Currencies for which some rate is entered, of whatever day. */
export async function currenciesKnown(db: Knex): Promise<string[]> {
  const rows: { currency: string }[] = await db('rates').distinct('currency').orderBy('currency');
  return rows.map(({ currency }) => currency);
}

export interface RateOfDay {
  currency: string;
  fromOn: IsoDate;
  rate: number;
}

/** The rate of each currency that holds on a day. */
export async function ratesOn(db: Knex, day: IsoDate): Promise<RateOfDay[]> {
  return db('rates')
    .distinctOn('currency')
    .where('from_on', '<=', day)
    .orderBy([
      { column: 'currency' },
      { column: 'from_on', order: 'desc' },
      { column: 'code', order: 'desc' },
    ])
    .select('currency', 'rate', { fromOn: 'from_on' });
}
