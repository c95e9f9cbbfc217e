// What the pages of dispatch show: orders with finished rolls in the house, packages, what one order may still get.
import type { Knex } from 'knex';
import { type MaySend, maySend } from '../../domain/overUnder.ts';
import { Refusal } from '../../domain/refusal.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { findPackages, type Package, type RollToPack, readyFor, rollsToPack } from '../../store/packages.ts';
import { findCodes } from '../../store/rows.ts';
import {
  contentsOf,
  ordersToSend,
  type PackageLine,
  packagesOf,
  packagesWithOrder,
  type Sending,
  type SentRoll,
  sendingOf,
  sentWith,
} from '../../store/sending.ts';

export type { Package, PackageLine, RollToPack, Sending, SentRoll };
export type OrderToSend = Sending & MaySend;

const MOST_ORDERS = 300;
const MOST_PACKAGES = 100;
const SENT_LATELY = 20;
const MOST_ROLLS = 500;

const withRule = (order: Sending): OrderToSend => ({ ...order, ...maySend(order) });

export async function dispatchBoard(db: Knex): Promise<{
  orders: OrderToSend[];
  open: PackageLine[];
  sent: PackageLine[];
}> {
  return {
    orders: (await ordersToSend(db, MOST_ORDERS)).map(withRule),
    open: await packagesOf(db, 'open', MOST_PACKAGES),
    sent: await packagesOf(db, 'dispatched', SENT_LATELY),
  };
}

/** The order as it is spelt. Refuses with not-found. */
async function orderNamed(db: Knex, code: string): Promise<OrderToSend> {
  const known = (await findCodes(db, RESOURCES.orders, [code])).get(code.toLowerCase());
  const [order] = known === undefined ? [] : await sendingOf(db, [known]);
  if (!order) throw new Refusal('not-found', { what: 'order line', code });
  return withRule(order);
}

/** An order with the rolls that may be packed for it and the open packages of its customer. */
export async function orderToPack(
  db: Knex,
  code: string,
): Promise<{ order: OrderToSend; rolls: RollToPack[]; open: PackageLine[] }> {
  const order = await orderNamed(db, code);
  const open = await packagesOf(db, 'open', MOST_PACKAGES);
  return {
    order,
    rolls: await readyFor(db, order.order, MOST_ROLLS),
    open: open.filter(({ customer }) => customer === order.customer),
  };
}

export interface PackageSeen {
  package: Package;
  rolls: SentRoll[];
  orders: OrderToSend[];
}

/** One package with what is, or was, in it. Refuses with not-found. */
export async function readPackage(db: Knex, sscc: string): Promise<PackageSeen> {
  const [found] = await findPackages(db, [sscc]);
  if (!found) throw new Refusal('not-found', { what: 'package', code: sscc });
  const rolls = await contentsOf(db, [sscc]);
  const orders = await sendingOf(
    db,
    rolls.flatMap(({ order }) => order ?? []),
  );
  return { package: found, rolls, orders: orders.map(withRule) };
}

export interface PackListSeen {
  order: OrderToSend;
  packages: { package: Package; rolls: SentRoll[] }[];
}

/** All packages that hold rolls of an order, with these rolls. Refuses with not-found. */
export async function packList(db: Knex, code: string): Promise<PackListSeen> {
  const order = await orderNamed(db, code);
  const codes = await packagesWithOrder(db, order.order);
  const packages = await findPackages(db, codes);
  const rolls = (await contentsOf(db, codes)).filter((roll) => roll.order === order.order);
  return {
    order,
    packages: packages.map((one) => ({
      package: one,
      rolls: rolls.filter((roll) => roll.package === one.sscc),
    })),
  };
}

/** Finished rolls to be labelled, with whom they are for. Refuses with not-found. */
/** A roll that has left the house is labelled with what it took along. */
async function asSent(db: Knex, roll: RollToPack): Promise<RollToPack> {
  const sent = roll.status === 'dispatched' ? await sentWith(db, roll.code) : undefined;
  return sent ? { ...roll, lengthMm: sent.lengthMm, massKg: sent.massMg / 1e6 } : roll;
}

export async function rollsToLabel(
  db: Knex,
  codes: readonly string[],
): Promise<{ rolls: RollToPack[]; orders: Map<string, Sending> }> {
  const known = await findCodes(db, RESOURCES.rolls, codes);
  const missing = codes.find((code) => !known.has(code.toLowerCase()));
  if (missing !== undefined) throw new Refusal('not-found', { what: 'roll', code: missing });
  const rolls = await Promise.all(
    (await rollsToPack(db, [...new Set(known.values())])).map((roll) => asSent(db, roll)),
  );
  const orders = await sendingOf(
    db,
    rolls.flatMap(({ order }) => order ?? []),
  );
  return { rolls, orders: new Map(orders.map((order) => [order.order, order])) };
}
