// Adds, changes or removes one bad place of a roll: an entry with the map before and after. The form carries a mark of
// the map that it was made from, so that two people do not change each other's places unseen.
import { createHash } from 'node:crypto';
import type { Knex } from 'knex';
import { PLACE_FIELDS, placeOf } from '../../domain/mapForm.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type Fault, fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type BadPlace, printRollMap } from '../../domain/rollMap.ts';
import { bookMaps, writeMap } from '../../store/rollMaps.ts';
import { findRows } from '../../store/rows.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';

export interface MapAsked {
  roll: string;
  what: 'add' | 'change' | 'remove';
  /** The place that is changed or removed, from 0. */
  at: number;
  /** markOfMap of the map that was shown. */
  seen: string;
  typed: Typed;
  by: string;
  requestKey: string;
}

/** A short mark that differs when the map does. */
export const markOfMap = (places: readonly BadPlace[]): string =>
  createHash('sha256').update(printRollMap(places)).digest('base64url').slice(0, 22);

export async function changeMap(db: Knex, asked: MapAsked): Promise<Entered<Fault[]>> {
  const { by, requestKey, what } = asked;
  return enterOnce(db, { kind: 'roll map', by, requestKey, details: { what } }, async (trx, entry) => {
    const [row] = await findRows(trx, RESOURCES.rolls, [asked.roll], 'lock');
    if (!row) throw new Refusal('not-found', { what: 'roll', code: asked.roll });
    const before = row.rollMap as BadPlace[];
    if (markOfMap(before) !== asked.seen) return [CHANGED];
    if (what !== 'add' && before[asked.at] === undefined) return [CHANGED];
    const { place, faults } =
      what === 'remove' ? { place: undefined, faults: [] } : readPlace(asked.typed, row);
    if (faults.length > 0) return faults;
    const after = [...before];
    if (what === 'add') after.push(place as BadPlace);
    else after.splice(asked.at, 1, ...(place ? [place] : []));
    await writeMap(trx, String(row.code), after);
    await bookMaps(trx, entry, [{ roll: String(row.code), before, after }]);
    return undefined;
  });
}

const CHANGED: Fault = {
  field: 'seen',
  value: '',
  wrong: 'the map was changed by somebody else, or the roll was run, after this form was opened',
  right: 'look at the map as it is now, and send it again if it is still right',
};

function readPlace(typed: Typed, row: Row): { place: BadPlace | undefined; faults: Fault[] } {
  const all = Object.fromEntries(PLACE_FIELDS.map(({ name }) => [name, typed[name] ?? '']));
  const read = readFields({ fields: PLACE_FIELDS }, all, 'auto');
  if (read.faults.length > 0) return { place: undefined, faults: read.faults };
  const size = { lengthMm: row.lengthMm as number, widthUm: row.widthUm as number };
  const { place, faults } = placeOf(read.given as unknown as Parameters<typeof placeOf>[0], size);
  const headed = faults.map((fault) => {
    const field = PLACE_FIELDS.find(({ name }) => name === fault.field);
    return { ...fault, value: all[fault.field as string] ?? '', column: field ? fieldHead(field) : '' };
  });
  return { place, faults: headed };
}
