// The part of a roll's page that only rolls have: how it stands, when it should be used among those of its item, what may
// be done with it, and everything that happened to it.
import type { Row } from '../../domain/resource.ts';
import { whatMayBeDecided } from '../../usecases/rolls/decideOnRoll.ts';
import { type HistoryEntry, inUseOrder, orderOfRoll, rollHistory } from '../../usecases/rolls/rollHistory.ts';
import { unfitOf } from '../machine/releaseForms.ts';
import type { Services } from '../services.ts';
import { rowHref } from '../words.ts';
import { historyLine } from './historyWords.ts';

export async function careOf(services: Services, row: Row) {
  const code = String(row.code);
  const today = services.today();
  const [{ decisions, concession, holder }, order, history, madeFor] = await Promise.all([
    whatMayBeDecided(services.db, code, today),
    inUseOrder(services.db, [code], today),
    rollHistory(services.db, code),
    row.kind === 'finished' ? orderOfRoll(services.db, code) : undefined,
  ]);
  const href = rowHref('rolls', code);
  const place = order.get(code);
  return {
    statusHref: decisions.length > 0 ? `${href}/status` : undefined,
    mapHref: `${href}/map`,
    labelHref: `${href}/label`,
    coatHref:
      row.kind === 'base' && row.status === 'released' ? `/coat?roll=${encodeURIComponent(code)}` : undefined,
    concession,
    holder,
    madeFor: madeFor === undefined ? undefined : { code: madeFor, href: rowHref('orders', madeFor) },
    unfit: unfitOf(row, today),
    returnHref: row.kind === 'finished' && row.status === 'dispatched' ? `${href}/return` : undefined,
    correctHref: mayCorrect(row, history) ? `${href}/correct` : undefined,
    useOrder: place && useOrderWords(place.place, place.of, String(row.item)),
    itemHref: `/rolls?item=${encodeURIComponent(String(row.item))}&status=released&sort=useBy`,
    item: row.item,
    history: history.map(historyLine),
  };
}

/** A finished roll in the house, and film of which nothing was taken since it was received. */
function mayCorrect({ kind, status }: Row, history: readonly HistoryEntry[]): boolean {
  if (status === 'used up' || status === 'dispatched') return false;
  if (kind === 'finished') return true;
  const movements = history.flatMap((entry) => entry.movements);
  return kind === 'base' && movements.length > 0 && movements.every(({ cause }) => cause === 'received');
}

function useOrderWords(place: number, of: number, item: string): string {
  if (of === 1) return `It is the only roll of ${item} that may be used now.`;
  if (place === 1) return `Use it first: of ${of} rolls of ${item} that may be used, it expires first.`;
  return `It is number ${place} of ${of} rolls of ${item} that may be used now, first expired first.`;
}
