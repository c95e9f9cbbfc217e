// Rolls that come into being: written empty, so that what they hold comes in by the ledger.
import type { Knex } from 'knex';
import type { Row } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import { bookWrittenRolls } from './ledger.ts';
import { columnsOf, writeListed } from './tables.ts';

/** Writes rows of rolls, which may name their `splices`, without length and mass, and books their first status; book
 * their movements next. */
export async function insertNewRolls(trx: Knex, entry: number, rows: readonly Row[]): Promise<void> {
  if (rows.length === 0) return;
  const empty = rows.map((row) => ({
    ...columnsOf(RESOURCES.rolls, { ...row, lengthMm: 0, massKg: null }),
    splices: row.splices ?? 0,
  }));
  await trx.batchInsert('rolls', empty, 500);
  await writeListed(trx, RESOURCES.rolls, rows);
  await bookWrittenRolls(
    trx,
    entry,
    rows.map(({ code }) => String(code)),
  );
}

/** So many next numbers, B000001 and up for film, C000001 and up for coated rolls; numbers in use are passed over. */
export async function nextRollCodes(trx: Knex, letter: 'B' | 'C', many: number): Promise<string[]> {
  const sequence = { B: 'received_roll_numbers', C: 'coated_roll_numbers' }[letter];
  const codes: string[] = [];
  while (codes.length < many) {
    const { rows } = await trx.raw(
      `select ? || lpad(nextval(?)::text, 6, '0') as code from generate_series(1, ?)`,
      [letter, sequence, many - codes.length],
    );
    const fresh = rows.map(({ code }: { code: string }) => code);
    const taken = new Set(await trx('rolls').whereIn('code', fresh).pluck('code'));
    codes.push(...fresh.filter((code: string) => !taken.has(code)));
  }
  return codes;
}
