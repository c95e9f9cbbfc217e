// The record of a supplier: on time or not, width and length against what was ordered, joins and bad places, and what
// became of his lots. Only what is in the ledger: nothing is estimated.
import { deviation, group, mean, sum } from 'd3-array';
import type { Knex } from 'knex';
import { delayOf } from '../../domain/leadTime.ts';
import { COATED_FILM, COATER, GOOD_ROLLS } from '../../domain/stockWords.ts';
import { daysBetween } from '../../domain/units.ts';
import {
  type BadPlacesOfGrade,
  badPlacesOf,
  deliveries,
  type LineReceived,
  linesReceived,
} from '../../store/supplierRecord.ts';
import { yieldFacts } from '../../store/yieldFacts.ts';

export interface LotYield {
  lot: string;
  /** At the coater, and at the slitters: what was made of what went in, m2. */
  coaterInM2: number;
  coaterShare: number | undefined;
  slitterInM2: number;
  slitterShare: number | undefined;
}

export interface Sizes {
  rolls: number;
  /** Means, of what came less what was ordered. */
  widthUm: number;
  lengthMm: number;
  lengthShare: number;
  narrower: number;
  wider: number;
  shorter: number;
  longer: number;
}

export interface SupplierRecord {
  lines: LineReceived[];
  /** Rolls that had a day, and how many of them came by it. */
  dated: number;
  onTime: number;
  /** Of those that came later than wanted, the mean. */
  meanDaysLate: number;
  /** Against what was ordered, over all rolls. */
  sizes: Sizes;
  /** How late deliveries came; counted on for lead times from DELIVERIES_FOR_RECORD on. */
  delays: { deliveries: number; meanDays: number; spreadDays: number };
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
    sizes: sizesOf(lines),
    delays: delaysOf((await deliveries(db)).filter((one) => one.supplier === supplier.code).map(delayOf)),
    badPlaces: await badPlacesOf(db, supplier.code),
    lots: await lotsOf(db, supplier.name),
  };
}

function sizesOf(lines: readonly LineReceived[]): Sizes {
  const rolls = sum(lines, (line) => line.rolls);
  const each = (of: (line: LineReceived) => number): number =>
    rolls > 0 ? sum(lines, (line) => line.rolls * of(line)) / rolls : 0;
  return {
    rolls,
    widthUm: each((line) => line.widthUm - line.orderedWidthUm),
    lengthMm: each((line) => line.lengthMm - line.orderedLengthMm),
    lengthShare: each((line) => (line.lengthMm - line.orderedLengthMm) / line.orderedLengthMm),
    narrower: sum(lines, (line) => line.narrower),
    wider: sum(lines, (line) => line.wider),
    shorter: sum(lines, (line) => line.shorter),
    longer: sum(lines, (line) => line.longer),
  };
}

const delaysOf = (days: readonly number[]): SupplierRecord['delays'] => ({
  deliveries: days.length,
  meanDays: mean(days) ?? 0,
  spreadDays: deviation(days) ?? 0,
});

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
        const what = coater ? COATED_FILM : GOOD_ROLLS;
        const good = sum(here, (fact) => (fact.cause === what ? fact.actualM2 : 0));
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
