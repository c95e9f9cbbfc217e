// The record of a supplier, from receipts, roll maps and the ledger.
import type { RequestHandler } from 'express';
import { DELIVERIES_FOR_RECORD } from '../../domain/leadTime.ts';
import { RESOURCES } from '../../domain/resources.ts';
import {
  daysLate,
  readSupplierRecord,
  type SupplierRecord,
} from '../../usecases/buying/readSupplierRecord.ts';
import { showPage } from '../page.ts';
import { lotHref } from '../rolls/familyTree.ts';
import type { Services } from '../services.ts';
import { rowOrRefuse } from '../tables/resourceRow.ts';
import { count, grouped, rowHref } from '../words.ts';

const percent = (share: number | undefined): string => (share === undefined ? '' : grouped(share * 100, 1));
/** "+3", "-12", "0". */
const signed = (value: number, decimals: number): string =>
  `${value > 0 ? '+' : ''}${grouped(Number(value.toFixed(decimals)), decimals)}`;

/** GET /suppliers/:code/record. */
export function supplierRecordPage(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.suppliers, String(req.params.code));
    const supplier = { code: String(row.code), name: String(row.name) };
    const record = await readSupplierRecord(services.db, supplier);
    showPage(req, res, 'buying/supplier', {
      title: `Record of ${supplier.name}`,
      under: '/suppliers',
      href: rowHref('suppliers', supplier.code),
      answer: answerOf(record),
      lines: record.lines.map((line) => ({
        order: line.purchaseOrder,
        href: `/purchase-orders/${encodeURIComponent(line.purchaseOrder)}`,
        line: line.line,
        grade: line.grade,
        rolls: grouped(line.rolls),
        wantedOn: line.wantedOn ?? '',
        confirmedOn: line.confirmedOn ?? '',
        receivedOn: line.receivedOn,
        late: daysLate(line) > 0 ? count(daysLate(line), 'day') : '',
        width: signed((line.widthUm - line.orderedWidthUm) / 1000, 1),
        length: signed((line.lengthMm - line.orderedLengthMm) / 1000, 0),
        lengthPct: signed((100 * (line.lengthMm - line.orderedLengthMm)) / line.orderedLengthMm, 1),
        shortest: signed((line.shortestMm - line.orderedLengthMm) / 1000, 0),
      })),
      sizes: sizeRows(record),
      delays: delayWords(record),
      badPlaces: record.badPlaces.map((one) => ({
        grade: one.grade,
        rolls: grouped(one.rolls),
        metres: grouped(one.metres, 0),
        joinsInAll: grouped(one.joins),
        joins: grouped((1000 * one.joins) / one.metres, 3),
        othersInAll: grouped(one.others),
        others: grouped((1000 * one.others) / one.metres, 3),
      })),
      lots: record.lots.map((one) => ({
        lot: one.lot,
        href: one.lot === 'no lot' ? '' : lotHref(one.lot),
        coaterIn: one.coaterInM2 > 0 ? grouped(one.coaterInM2, 0) : '',
        coater: percent(one.coaterShare),
        slitterIn: one.slitterInM2 > 0 ? grouped(one.slitterInM2, 0) : '',
        slitter: percent(one.slitterShare),
      })),
    });
  };
}

function answerOf({ dated, onTime, meanDaysLate }: SupplierRecord): string {
  if (dated === 0) return 'No film that was ordered for a day has come from this supplier yet.';
  const late = onTime < dated ? `; the others ${grouped(meanDaysLate, 1)} days late in the mean` : '';
  return `${count(onTime, 'roll')} of ${grouped(dated)} came by the day wanted (${grouped((100 * onTime) / dated, 0)} %)${late}.`;
}

/** Width and length of all rolls that came on orders. */
function sizeRows({ sizes }: SupplierRecord) {
  if (sizes.rolls === 0) return [];
  const exact = (short: number, over: number): string => grouped(sizes.rolls - short - over);
  return [
    {
      what: 'Width',
      mean: `${signed(sizes.widthUm / 1000, 2)} mm`,
      short: grouped(sizes.narrower),
      over: grouped(sizes.wider),
      exact: exact(sizes.narrower, sizes.wider),
    },
    {
      what: 'Length',
      mean: `${signed(sizes.lengthMm / 1000, 0)} m (${signed(100 * sizes.lengthShare, 2)} %)`,
      short: grouped(sizes.shorter),
      over: grouped(sizes.longer),
      exact: exact(sizes.shorter, sizes.longer),
    },
  ];
}

function delayWords({ delays }: SupplierRecord): string {
  if (delays.deliveries === 0) return '';
  const spread = delays.deliveries > 1 ? `, spread ${grouped(delays.spreadDays, 1)}` : '';
  const used =
    delays.deliveries >= DELIVERIES_FOR_RECORD
      ? 'What to buy counts on it.'
      : `What to buy counts on the offers until there are ${DELIVERIES_FOR_RECORD} (default - verify).`;
  return `Delay in the mean ${grouped(delays.meanDays, 1)} days${spread}, over ${count(delays.deliveries, 'delivery', 'deliveries')}; early counts as in time. ${used}`;
}
