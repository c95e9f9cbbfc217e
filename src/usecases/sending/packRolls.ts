// Puts finished rolls into a package for a customer: an open one or a new one. Of two people who pack the same roll one
// wins and the other is told; no more rolls of an order are packed than may be sent.
import type { Knex } from 'knex';
import { maySend } from '../../domain/overUnder.ts';
import { Refusal } from '../../domain/refusal.ts';
import { lockOrders, refreshOrders } from '../../store/orderProgress.ts';
import {
  findPackages,
  giveToOrder,
  insertPackage,
  packageOfEntry,
  putIn,
  type RollToPack,
  rollsToPack,
} from '../../store/packages.ts';
import { type Sending, sendingOf } from '../../store/sending.ts';
import { enterOnce } from '../enterOnce.ts';
import type { Act } from '../machine/releasePlan.ts';

export interface Packing extends Act {
  order: string;
  rolls: readonly string[];
  /** An open package of the customer; undefined begins a new one. */
  into: string | undefined;
  companyPrefix: string;
  today: string;
}

/** @returns the package. Refuses with not-found, nothing-to-pack, package-closed, package-of-other, roll-packed, roll-not-to-pack or too-many-packed. */
export async function packRolls(db: Knex, packing: Packing): Promise<string> {
  const { by, requestKey, order, rolls } = packing;
  const details = { order, rolls: [...rolls].sort() };
  const entered = await enterOnce(db, { kind: 'packed', by, requestKey, details }, (trx, entry) =>
    pack(trx, entry, packing),
  );
  if (!entered.ok) throw new Error('packing has no faults, only refusals');
  return (await packageOfEntry(db, entered.entry)) as string;
}

async function pack(trx: Knex, entry: number, packing: Packing): Promise<undefined> {
  const { into, companyPrefix } = packing;
  const codes = [...new Set(packing.rolls)];
  if (codes.length === 0) throw new Refusal('nothing-to-pack', { order: packing.order });
  const open = into === undefined ? undefined : await openPackage(trx, into);
  const rolls = await rollsToPack(trx, codes, 'lock');
  await lockOrders(trx, [packing.order]);
  const [order] = await sendingOf(trx, [packing.order]);
  if (!order) throw new Refusal('not-found', { what: 'order line', code: packing.order });
  if (open && open.customer !== order.customer)
    throw new Refusal('package-of-other', {
      package: open.sscc,
      customer: open.customerName,
      order: order.order,
    });
  for (const code of codes)
    refuseUnfit(
      code,
      rolls.find((roll) => roll.code === code),
      order,
      packing.today,
    );
  refuseTooMany(order, codes.length);
  await giveToOrder(trx, codes, order.order);
  const target = open?.sscc ?? (await insertPackage(trx, { customer: order.customer, entry, companyPrefix }));
  await putIn(trx, target, codes, entry);
  await refreshOrders(trx, [order.order]);
}

async function openPackage(trx: Knex, code: string) {
  const [found] = await findPackages(trx, [code], 'lock');
  if (!found) throw new Refusal('not-found', { what: 'package', code });
  if (found.status !== 'open') throw new Refusal('package-closed', { package: code, status: found.status });
  return found;
}

function refuseUnfit(code: string, roll: RollToPack | undefined, order: Sending, today: string): void {
  if (!roll) throw new Refusal('not-found', { what: 'roll', code });
  if (roll.package !== null)
    throw new Refusal('roll-packed', { roll: code, package: roll.package, by: String(roll.packedBy) });
  const why = whyNot(roll, order, today);
  if (why !== undefined) throw new Refusal('roll-not-to-pack', { roll: code, order: order.order, why });
}

/** Why a roll may not be sent for an order; undefined when it may. */
function whyNot(roll: RollToPack, order: Sending, today: string): string | undefined {
  if (roll.kind !== 'finished') return `it is a ${roll.kind} roll`;
  if (roll.status !== 'released') return `it is ${roll.status}`;
  if (roll.useBy !== null && roll.useBy < today) return `its use-by day ${roll.useBy} is past`;
  if (roll.order !== null && roll.order !== order.order) return `it is for order ${roll.order}`;
  if (roll.item !== order.product || roll.widthUm !== order.widthUm)
    return `it is ${roll.item}, ${roll.widthUm / 1000} mm wide`;
  if (roll.lengthMm < order.lengthMm) return `it is short, ${roll.lengthMm / 1000} m`;
  return undefined;
}

function refuseTooMany(order: Sending, more: number): void {
  const { most, room } = maySend(order);
  if (more > room)
    throw new Refusal('too-many-packed', {
      order: order.order,
      most,
      gone: order.sent + order.packed,
      more,
      room,
    });
}
