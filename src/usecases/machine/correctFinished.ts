// Corrections of finished rolls after they were recorded, each a new entry with a reason: another length was found on
// the core, or the roll turned out to be no good. Orders follow, since a short or scrapped roll counts for none.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type BadPlace, cutTo } from '../../domain/rollMap.ts';
import { massOf } from '../../domain/setCut.ts';
import { LOSS, SCRAP_CAUSES, scrapOf } from '../../domain/stockWords.ts';
import { mmToM } from '../../domain/units.ts';
import { originOf, writeMap } from '../../store/finishedRolls.ts';
import { bookMovements, bookStatus, type Movement, type NewEntry } from '../../store/ledger.ts';
import { refreshOrders } from '../../store/orderProgress.ts';
import { findRows } from '../../store/rows.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import type { Act } from './releasePlan.ts';

export type Correction = Act & { reason: string };

export interface CorrectionFault {
  field: 'length' | 'cause';
  wrong: string;
  right: string;
}

interface Finished {
  code: string;
  widthUm: number;
  lengthMm: number;
  massMg: number | undefined;
  places: BadPlace[];
  order: string | null;
  /** With so many metres it was made. */
  madeMm: number;
}

/** So much longer than recorded a roll may turn out to be; more is a slip of the pen. Default, verify. */
const MOST_LONGER = 1.05;

/** Gives a finished roll the length found on it. Refuses with not-found or roll-not-finished. */
export async function changeFinishedLength(
  db: Knex,
  code: string,
  lengthMm: number,
  correction: Correction,
): Promise<Entered<CorrectionFault>> {
  return correct(db, code, correction, { lengthMm }, async (trx, roll, entry) => {
    const most = Math.round(MOST_LONGER * roll.madeMm);
    if (!(lengthMm > 0 && lengthMm <= most))
      return { field: 'length', wrong: `${mmToM(lengthMm)} m`, right: `above 0, up to ${mmToM(most)} m` };
    await bookMovements(trx, entry, [countedTo(roll, lengthMm)]);
    const whole = { fromMm: 0, toMm: lengthMm, fromUm: 0, toUm: roll.widthUm };
    await writeMap(trx, roll.code, cutTo(roll.places, whole));
    return undefined;
  });
}

/** Takes a finished roll out as scrap. Refuses with not-found or roll-not-finished. */
export async function scrapFinished(
  db: Knex,
  code: string,
  cause: string,
  correction: Correction,
): Promise<Entered<CorrectionFault>> {
  return correct(db, code, correction, { scrap: cause }, async (trx, roll, entry) => {
    if (!(SCRAP_CAUSES as readonly string[]).includes(cause))
      return { field: 'cause', wrong: 'no cause is chosen', right: SCRAP_CAUSES.join(', ') };
    const { lengthMm, massMg = 0 } = roll;
    await bookMovements(trx, entry, [
      { roll: roll.code, side: 'loss', cause: scrapOf(cause), lengthMm: -lengthMm, massMg: -massMg },
    ]);
    await bookStatus(trx, entry, [roll.code], 'used up');
    await writeMap(trx, roll.code, []);
    return undefined;
  });
}

type Write = (trx: Knex, roll: Finished, entry: number) => Promise<CorrectionFault | undefined>;

/** One correction as an entry that points to the one that made the roll; its order follows. */
async function correct(
  db: Knex,
  code: string,
  { by, reason, requestKey }: Correction,
  facts: Record<string, unknown>,
  write: Write,
): Promise<Entered<CorrectionFault>> {
  const origin = await originOf(db, code);
  const details = { roll: code, ...facts };
  const entry: NewEntry = { kind: 'corrected', by, reason, requestKey, details, corrects: origin?.entry };
  return enterOnce(db, entry, async (trx, id) => {
    const roll = await lockFinished(trx, code);
    const fault = await write(trx, roll, id);
    if (!fault) await refreshOrders(trx, roll.order === null ? [] : [roll.order]);
    return fault;
  });
}

async function lockFinished(trx: Knex, code: string): Promise<Finished> {
  await findRows(trx, RESOURCES.rolls, [code], 'lock');
  const row = (await findRows(trx, RESOURCES.rolls, [code]))[0];
  if (!row) throw new Refusal('not-found', { what: 'roll', code });
  if (row.kind !== 'finished')
    throw new Refusal('roll-not-finished', {
      roll: code,
      what: row.kind === 'base' ? 'base film' : `a ${row.kind} roll`,
    });
  if (row.status === 'used up' || row.status === 'dispatched')
    throw new Refusal('roll-not-finished', { roll: code, what: row.status });
  const origin = await originOf(trx, String(row.code));
  const massKg = row.massKg as number | null;
  return {
    code: String(row.code),
    widthUm: row.widthUm as number,
    lengthMm: row.lengthMm as number,
    massMg: massKg ? Math.round(massKg * 1e6) : undefined,
    places: row.rollMap as BadPlace[],
    order: origin?.order ?? null,
    madeMm: origin?.madeMm ?? (row.lengthMm as number),
  };
}

function countedTo(roll: Finished, lengthMm: number): Movement {
  const moreMm = lengthMm - roll.lengthMm;
  const more = moreMm > 0;
  const moreMg = more ? Math.round(((roll.massMg ?? 0) * moreMm) / roll.lengthMm) : -massOf(roll, -moreMm);
  return {
    roll: roll.code,
    side: more ? 'in' : 'loss',
    cause: LOSS.counted,
    lengthMm: moreMm,
    massMg: moreMg,
  };
}
