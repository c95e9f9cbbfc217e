// Corrects what was entered of a roll when it came: its length, mass, width or lot. A new entry with a reason books the
// difference and keeps what stood there before; refused once anything was taken of the roll, or while it is at a machine.
import type { Knex } from 'knex';
import { ROLL_LIST } from '../../domain/receipt.ts';
import { disagreementWords, reconcile } from '../../domain/reconcile.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type Fault, fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type BadPlace, cutTo } from '../../domain/rollMap.ts';
import { bookMovements } from '../../store/ledger.ts';
import { type ReceivedSize, receivedAs, usedSinceReceived, writeReceived } from '../../store/receipts.ts';
import { holdersOf } from '../../store/releases.ts';
import { bookMaps, writeMap } from '../../store/rollMaps.ts';
import { findRows } from '../../store/rows.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';

/** What may be corrected; what is left empty stays as it is. */
export const RECEIVED_FIELDS = ['lengthMm', 'massKg', 'widthUm', 'lot'].map((name) => {
  const { required: _required, ...field } = ROLL_LIST.fields.find(
    (one) => one.name === name,
  ) as (typeof ROLL_LIST.fields)[number];
  return field;
});

export interface ReceivedCorrection {
  by: string;
  requestKey: string;
  reason: string;
  typed: Typed;
  /** Length and mass were measured again where they disagree. */
  confirmed: boolean;
}

/** Refuses with not-found, roll-not-received, used-since or roll-reserved. */
export async function correctReceived(
  db: Knex,
  code: string,
  { by, requestKey, reason, typed, confirmed }: ReceivedCorrection,
): Promise<Entered<Fault[]>> {
  const filled = Object.fromEntries(Object.entries(typed).filter(([, text]) => text.trim() !== ''));
  const { given, faults } = readFields({ fields: RECEIVED_FIELDS }, filled, 'auto');
  if (faults.length > 0) return { ok: false, faults };
  const before = await sizeOf(db, code, 'read');
  const receipt = await receivedAs(db, before.code);
  if (!receipt) throw new Refusal('roll-not-received', { roll: before.code });
  const is = { ...before, ...given } as Received;
  const details = { roll: before.code, was: asBooked(before), is: asBooked(is) };
  const entry = { kind: 'corrected' as const, by, requestKey, reason, corrects: receipt.entry, details };
  return enterOnce(db, entry, async (trx, id) => {
    const now = await sizeOf(trx, code, 'lock');
    await refuseUsed(trx, now.code, receipt.entry);
    const wrong =
      JSON.stringify(asBooked(now)) === JSON.stringify(asBooked(before))
        ? await disagreements(trx, is, receipt.tolerancePct, confirmed)
        : [fault('lengthMm', 'somebody has changed the roll meanwhile', 'look at it again')];
    if (wrong.length > 0) return wrong;
    await write(trx, id, now, is);
    return undefined;
  });
}

interface Received extends ReceivedSize {
  code: string;
  item: string;
  places: BadPlace[];
}

const asBooked = ({ lengthMm, massKg, widthUm, lot }: ReceivedSize): ReceivedSize => ({
  lengthMm,
  massKg,
  widthUm,
  lot,
});

async function sizeOf(db: Knex, code: string, lock: 'lock' | 'read'): Promise<Received> {
  await findRows(db, RESOURCES.rolls, [code], lock);
  const [row] = await findRows(db, RESOURCES.rolls, [code]);
  if (!row) throw new Refusal('not-found', { what: 'roll', code });
  return { ...(row as unknown as Received), places: row.rollMap as BadPlace[] };
}

const fault = (name: string, wrong: string, right: string): Fault => {
  const field = RECEIVED_FIELDS.find((one) => one.name === name);
  return { field: name, column: field ? fieldHead(field) : name, value: '', wrong, right };
};

/** Length and mass must agree as at receipt, unless somebody has measured again. */
async function disagreements(
  trx: Knex,
  is: Received,
  tolerancePct: number,
  confirmed: boolean,
): Promise<Fault[]> {
  if (confirmed) return [];
  const [grade] = (await findRows(trx, RESOURCES.grades, [is.item])) as [Row];
  const { thicknessUm, densityGPerCm3 } = grade as unknown as { thicknessUm: number; densityGPerCm3: number };
  const film = { thicknessUm, densityGPerCm3, airPct: 0, diameterUm: null, coreOutsideUm: null };
  return reconcile({ ...asBooked(is), ...film }, tolerancePct).map((one) =>
    fault(
      'massKg',
      disagreementWords(one, is.lengthMm),
      'values that agree, or the tick that they were measured again',
    ),
  );
}

async function refuseUsed(trx: Knex, roll: string, receipt: number): Promise<void> {
  if (await usedSinceReceived(trx, roll, receipt))
    throw new Refusal('used-since', { rolls: [roll], many: 1 });
  const [holder] = await holdersOf(trx, [roll]);
  if (holder)
    throw new Refusal('roll-reserved', { roll, release: holder.release, by: holder.by, plan: holder.plan });
}

async function write(trx: Knex, entry: number, was: Received, is: Received): Promise<void> {
  const roll = was.code;
  await bookMovements(trx, entry, [
    {
      roll,
      side: 'in',
      cause: 'received',
      lengthMm: is.lengthMm - was.lengthMm,
      massMg: Math.round(((is.massKg ?? 0) - (was.massKg ?? 0)) * 1e6),
    },
  ]);
  await writeReceived(trx, roll, was, is);
  const after = cutTo(was.places, { fromMm: 0, toMm: is.lengthMm, fromUm: 0, toUm: is.widthUm });
  await writeMap(trx, roll, after);
  await bookMaps(trx, entry, [{ roll, before: was.places, after }]);
}
