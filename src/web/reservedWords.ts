// What is reserved, in words for the planner's pages: which quotes are held until when and from which rolls, what of a roll is
// promised to whom, and what an order counts on.
import {
  quotesHeld,
  type Reservation,
  reservationOfOrder,
  reservationsOnRoll,
} from '../usecases/sales/readReservations.ts';
import { clockTime } from './plans/planForms.ts';
import type { Services } from './services.ts';
import { count, grouped, rowHref } from './words.ts';

export interface Reserved {
  order: string;
  href: string;
  quote: boolean;
  /** "12 rolls of 83 mm x 300 m for Quenby Orchard, held until 27 Nov 14:00" */
  words: string;
  rolls: { code: string; href: string }[];
  /** Rolls beyond those. */
  more: number;
}

const MOST_NAMED = 8;

function reserved(one: Reservation, of?: string): Reserved {
  const size = `${count(one.rolls, 'roll')} of ${grouped(one.widthUm / 1000)} mm x ${grouped(one.lengthMm / 1000)} m for ${one.customerName}`;
  const until = one.until ? `, held until ${clockTime(one.until)}` : '';
  const day = one.promisedOn ? `, ${one.until ? 'offered' : 'promised'} for ${one.promisedOn}` : '';
  const metres = one.takes.find(({ roll }) => roll === of)?.lengthMm;
  const here = metres === undefined ? '' : `; ${grouped(metres / 1000, 0)} m of this roll, as planned`;
  const named = of === undefined ? one.takes.slice(0, MOST_NAMED) : [];
  return {
    order: one.order,
    href: rowHref('orders', one.order),
    quote: one.kind === 'quote',
    words: `${size}${day}${until}${here}`,
    rolls: named.map(({ roll }) => ({ code: roll, href: rowHref('rolls', roll) })),
    more: of === undefined ? one.takes.length - named.length : 0,
  };
}

/** Quotes that are held, by product. */
export async function quotesOfProducts({ db }: Services): Promise<Map<string, Reserved[]>> {
  const products = new Map<string, Reserved[]>();
  for (const one of await quotesHeld(db))
    products.set(one.product, [...(products.get(one.product) ?? []), reserved(one)]);
  return products;
}

/** What is reserved of a roll, or for an order. */
export async function reservedFor({ db }: Services, table: string, code: string): Promise<Reserved[]> {
  if (table === 'rolls') return (await reservationsOnRoll(db, code)).map((one) => reserved(one, code));
  const own = table === 'orders' ? await reservationOfOrder(db, code) : undefined;
  return own ? [reserved(own)] : [];
}
