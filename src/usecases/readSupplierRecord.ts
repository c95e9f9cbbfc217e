// The record of a supplier: on time or not, width and length against what was ordered, joins and bad places, and what
// became of his lots. Only what is in the ledger: nothing is estimated.
import { group, sum } from 'd3-array';
import type { Knex } from 'knex';
import { COATER, GOOD_ROLLS } from '../domain/stockWords.ts';
import { daysBetween } from '../domain/units.ts';
import {
  type BadPlacesOfGrade,
  badPlacesOf,
  type LineReceived,
  linesReceived,
} from '../store/supplierRecord.ts';
import { yieldFacts } from '../store/yieldFacts.ts';

export interface LotYield {
  lot: string;
  /** At the coater, and at the slitters: what was made of what went in, m2. */
  coaterInM2: number;
  coaterShare: number | undefined;
  slitterInM2: number;
  slitterShare: number | undefined;
}

export interface SupplierRecord {
  lines: LineReceived[];
  /** Rolls that had a day, and how many of them came by it. */
  dated: number;
  onTime: number;
  /** Of those that came later than wanted, the mean. */
  meanDaysLate: number;
  badPlaces: BadPlacesOfGrade[];
  lots: LotYield[];
}

const [ALWAYS, NEVER] = ['2000-01-01', '9999-01-01'];

export async function readSupplierRecord(
  db: Knex,
  supplier: { code: string; name: string },
): Promise<SupplierRecord> {
  const lines = await linesReceived(db, supplier.code);
  const dated = lines.filter(({ wantedOn }) => wantedOn !== null);
  const late = dated.filter((line) => daysLate(line) > 0);
  const rolls = (of: readonly LineReceived[]): number => sum(of, (line) => line.rolls);
  return {
    lines,
    dated: rolls(dated),
    onTime: rolls(dated) - rolls(late),
    meanDaysLate: late.length > 0 ? sum(late, (line) => daysLate(line) * line.rolls) / rolls(late) : 0,
    badPlaces: await badPlacesOf(db, supplier.code),
    lots: await lotsOf(db, supplier.name),
  };
}

/** Against the day wanted; a later day that was confirmed is late all the same. */
export const daysLate = ({ receivedOn, wantedOn }: LineReceived): number =>
  wantedOn === null ? 0 : daysBetween(wantedOn, receivedOn);

async function lotsOf(db: Knex, name: string): Promise<LotYield[]> {
  const start = `${name}, `;
  const own = (await yieldFacts(db, ALWAYS as string, NEVER as string)).filter(
    ({ lot }) => lot.startsWith(start) && !lot.includes('; '),
  );
  return [...group(own, ({ lot }) => lot.slice(start.length))]
    .map(([lot, facts]) => {
      const at = (coater: boolean) => {
        const here = facts.filter(({ machine }) => (machine === COATER) === coater);
        const inM2 = sum(here, (fact) => fact.actualM2);
        const good = sum(here, (fact) => (fact.cause === GOOD_ROLLS ? fact.actualM2 : 0));
        return { inM2, share: inM2 > 0 ? good / inM2 : undefined };
      };
      const [coater, slitter] = [at(true), at(false)];
      return {
        lot,
        coaterInM2: coater.inM2,
        coaterShare: coater.share,
        slitterInM2: slitter.inM2,
        slitterShare: slitter.share,
      };
    })
    .sort((a, b) => a.lot.localeCompare(b.lot));
}
