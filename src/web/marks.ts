// Which values of a row deserve a second look, and how loud: "stop" must not be used as it is, "look" asks for a
// decision, "calm" is settled. The mark is always a word too, never a colour alone.
import type { Field, Row } from '../domain/resource.ts';
import { addDays, type IsoDate } from '../domain/units.ts';
import { DUE_SOON_DAYS, EXPIRES_SOON_DAYS } from '../usecases/whatNeedsDoing.ts';

export type Mark = 'stop' | 'look' | 'calm';

const BY_VALUE: Record<string, Mark> = {
  'on hold': 'stop',
  'in quarantine': 'look',
  'used up': 'calm',
  rush: 'look',
  done: 'calm',
  cancelled: 'calm',
};

const settled = (row: Row): boolean =>
  row.status === 'done' || row.status === 'cancelled' || row.status === 'used up';

/** The mark of one value of a row on this day; undefined for an ordinary value. */
export function markOf(field: Field, row: Row, today: string): Mark | undefined {
  const value = row[field.name];
  if (field.kind === 'choice') return BY_VALUE[String(value)];
  if ((field.name !== 'useBy' && field.name !== 'dueOn') || !value || settled(row)) return undefined;
  const day = String(value);
  if (day < today) return 'stop';
  return day <= addDays(today as IsoDate, field.name === 'useBy' ? EXPIRES_SOON_DAYS : DUE_SOON_DAYS)
    ? 'look'
    : undefined;
}

/** What the mark of a day says in words, for those who do not see the colour. */
export function markWords(field: Field, mark: Mark | undefined): string {
  if (field.kind !== 'date' || !mark) return '';
  if (field.name === 'useBy') return mark === 'stop' ? 'past' : 'soon';
  return mark === 'stop' ? 'late' : 'soon';
}
