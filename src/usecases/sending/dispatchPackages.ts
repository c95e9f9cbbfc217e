// Sends packages out of the house: every roll's length and mass leaves the ledger, the rolls are dispatched, the orders
// follow. Fewer rolls than the order's least are sent only when somebody says that the rest follows or is given up.
import type { Knex } from 'knex';
import { isSettled, maySend } from '../../domain/overUnder.ts';
import { Refusal } from '../../domain/refusal.ts';
import { bookMovements, bookStatus } from '../../store/ledger.ts';
import { lockOrders, refreshOrders } from '../../store/orderProgress.ts';
import { endPackages, findPackages, type RollToPack, rollsIn, rollsToPack } from '../../store/packages.ts';
import { type Sending, sendingOf, setOrderStatus } from '../../store/sending.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import type { Act } from '../machine/releasePlan.ts';

export interface Dispatching extends Act {
  packages: readonly string[];
  /** Sent although an order gets fewer rolls with it than its least. */
  shortIsRight: boolean;
  today: string;
}

/** An order that would still be below its least. */
export interface ShortOrder {
  order: string;
  least: number;
  sent: number;
}

/** Gives back the orders that are below their least, unless that is said to be right. Refuses with not-found, package-closed, package-empty or roll-not-to-pack. */
export async function dispatchPackages(db: Knex, dispatching: Dispatching): Promise<Entered<ShortOrder[]>> {
  const { by, requestKey } = dispatching;
  const packages = [...new Set(dispatching.packages)].sort();
  return enterOnce(db, { kind: 'dispatched', by, requestKey, details: { packages } }, (trx, entry) =>
    dispatch(trx, entry, packages, dispatching),
  );
}

async function dispatch(
  trx: Knex,
  entry: number,
  packages: readonly string[],
  { shortIsRight, today }: Dispatching,
): Promise<ShortOrder[] | undefined> {
  const rolls = await lockContents(trx, packages);
  for (const roll of rolls) refuseUnfit(roll, today);
  const orders = [...new Set(rolls.flatMap(({ order }) => order ?? []))];
  await lockOrders(trx, orders);
  await send(trx, entry, rolls);
  await endPackages(trx, packages, 'dispatched', entry);
  const after = await sendingOf(trx, orders);
  const short = after.filter((order) => order.sent < maySend(order).least).map(shortOf);
  if (short.length > 0 && !shortIsRight) return short;
  await refreshOrders(trx, orders);
  const settled = after.filter(isSettled).map(({ order }) => order);
  if (settled.length > 0) await setOrderStatus(trx, settled, 'done');
  return undefined;
}

async function lockContents(trx: Knex, packages: readonly string[]): Promise<RollToPack[]> {
  const found = await findPackages(trx, packages, 'lock');
  const missing = packages.find((code) => !found.some(({ sscc }) => sscc === code));
  if (missing !== undefined) throw new Refusal('not-found', { what: 'package', code: missing });
  for (const { sscc, status } of found)
    if (status !== 'open') throw new Refusal('package-closed', { package: sscc, status });
  const inside = await rollsIn(trx, packages);
  const empty = packages.find((code) => !inside.some((roll) => roll.package === code));
  if (empty !== undefined || inside.length === 0)
    throw new Refusal('package-empty', { package: empty ?? 'none' });
  return rollsToPack(
    trx,
    inside.map(({ code }) => code),
    'lock',
  );
}

function refuseUnfit(roll: RollToPack, today: string): void {
  const expired = roll.useBy !== null && roll.useBy < today;
  if (roll.status === 'released' && !expired) return;
  const why = expired ? `its use-by day ${roll.useBy} is past` : `it is ${roll.status}`;
  throw new Refusal('roll-not-to-pack', { roll: roll.code, order: roll.order ?? 'none', why });
}

async function send(trx: Knex, entry: number, rolls: readonly RollToPack[]): Promise<void> {
  await bookMovements(
    trx,
    entry,
    rolls.map(({ code, lengthMm, massKg }) => ({
      roll: code,
      side: 'out',
      cause: 'dispatched',
      lengthMm: -lengthMm,
      massMg: -Math.round((massKg ?? 0) * 1e6),
    })),
  );
  await bookStatus(
    trx,
    entry,
    rolls.map(({ code }) => code),
    'dispatched',
  );
}

const shortOf = (order: Sending): ShortOrder => ({
  order: order.order,
  least: maySend(order).least,
  sent: order.sent,
});
