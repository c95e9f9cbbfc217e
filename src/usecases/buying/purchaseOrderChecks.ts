// What a purchase order says about other rows: supplier, grades and offers must exist and fit each other; prices are in one
// currency that is known; a lapsed offer is none; no day lies before the order; film must fit a slitter. References are set to
// the spelling of the database.
import type { Knex } from 'knex';
import {
  ORDER_FIELDS,
  ORDER_LINE_FIELDS,
  type PurchaseOrder,
  type PurchaseOrderLine,
} from '../../domain/purchaseOrder.ts';
import { type Fault, type Field, fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import { findCodes, findRows } from '../../store/rows.ts';
import { currenciesFor } from '../tables/crossChecks.ts';

/** A fault of a line says which: its place in the form, from 0. */
export type OrderFault = Fault & { line?: number };

/** `places`: where each line stands in the form. */
export async function checkPurchaseOrder(
  trx: Knex,
  order: PurchaseOrder,
  places: readonly number[],
  today: IsoDate,
): Promise<OrderFault[]> {
  const faults: OrderFault[] = [...(await checkHead(trx, order, today))];
  const widestUm = await widestWeb(trx);
  const orderedOn = order.orderedOn ?? today;
  for (const [index, line] of order.lines.entries()) {
    const own = [
      ...(await checkLine(trx, order, line, orderedOn)),
      ...checkWidth(line, widestUm),
      ...checkDays(line, orderedOn),
    ];
    faults.push(...own.map((fault) => ({ ...fault, line: places[index] as number })));
  }
  return faults;
}

async function checkHead(trx: Knex, order: PurchaseOrder, today: IsoDate): Promise<Fault[]> {
  const faults: Fault[] = [];
  if (order.supplier) {
    const found = await spelling(trx, 'suppliers', order.supplier);
    if (found === undefined) faults.push(unknown(ORDER_FIELDS, 'supplier', order.supplier, 'suppliers'));
    order.supplier = found ?? order.supplier;
  }
  const known = await currenciesFor(trx);
  if (order.currency && !known.includes(order.currency))
    faults.push(
      headFault(
        'currency',
        order.currency,
        `there is no exchange rate for ${order.currency}`,
        `one of ${known.join(', ')}, or enter an exchange rate for it first`,
      ),
    );
  if (order.orderedOn && order.orderedOn > today && order.status !== 'draft')
    faults.push(
      headFault(
        'orderedOn',
        order.orderedOn,
        'an order that is sent cannot have been ordered on a day to come',
        `${today} or before, or leave it a draft`,
      ),
    );
  return faults;
}

async function checkLine(
  trx: Knex,
  order: PurchaseOrder,
  line: PurchaseOrderLine,
  orderedOn: IsoDate,
): Promise<Fault[]> {
  const faults: Fault[] = [];
  if (line.grade) {
    const found = await spelling(trx, 'grades', line.grade);
    if (found === undefined) faults.push(unknown(ORDER_LINE_FIELDS, 'grade', line.grade, 'grades'));
    line.grade = found ?? line.grade;
  }
  if (!line.offer) return faults;
  const [offer] = await findRows(trx, RESOURCES.offers, [line.offer]);
  const wrong = (what: string, right: string) => [
    ...faults,
    lineFault('offer', line.offer ?? '', what, right),
  ];
  if (!offer)
    return wrong(`there is no offer ${line.offer}`, 'an offer of this supplier for this grade, or none');
  if (offer.supplier !== order.supplier || offer.grade !== line.grade)
    return wrong(
      `offer ${offer.code} is ${offer.supplier}'s for ${offer.grade}`,
      'an offer of this supplier for this grade, or none',
    );
  line.offer = String(offer.code);
  if (offer.validUntil !== null && String(offer.validUntil) < orderedOn)
    return wrong(
      `offer ${offer.code} lapsed on ${offer.validUntil}`,
      `an offer that is valid on ${orderedOn}; if the supplier has prolonged it, change its day first`,
    );
  if (order.currency && offer.currency !== order.currency)
    return wrong(
      `offer ${offer.code} is in ${offer.currency}, the order in ${order.currency}`,
      `the currency ${offer.currency} for the order, or an offer in ${order.currency}`,
    );
  return [...faults, ...checkSize(line, offer)];
}

/** An offer is for its width, or a step of its range, and for its length. */
function checkSize(line: PurchaseOrderLine, offer: Row): Fault[] {
  const faults: Fault[] = [];
  const { widthUm, lengthMm } = line;
  const [min, max, step] = [offer.widthMinUm, offer.widthMaxUm, offer.widthStepUm] as number[];
  const inRange =
    offer.widthUm === null
      ? widthUm >= (min as number) &&
        widthUm <= (max as number) &&
        (widthUm - (min as number)) % (step as number) === 0
      : widthUm === offer.widthUm;
  const widths =
    offer.widthUm === null
      ? `${umToMm(min as number)} to ${umToMm(max as number)} mm in steps of ${umToMm(step as number)}`
      : `${umToMm(offer.widthUm as number)} mm`;
  if (widthUm && !inRange)
    faults.push(
      lineFault(
        'widthUm',
        `${umToMm(widthUm)}`,
        `offer ${offer.code} is not for ${umToMm(widthUm)} mm`,
        widths,
      ),
    );
  const rollLengthMm = offer.rollLengthMm as number;
  if (lengthMm && lengthMm !== rollLengthMm)
    faults.push(
      lineFault(
        'lengthMm',
        `${mmToM(lengthMm)}`,
        `offer ${offer.code} is not for rolls of ${mmToM(lengthMm)} m`,
        `${mmToM(rollLengthMm)} m, or no offer`,
      ),
    );
  return faults;
}

async function widestWeb(trx: Knex): Promise<number> {
  const slitters = await rowsByCode(trx, 'slitters');
  if (slitters.length === 0) return Infinity;
  return Math.max(...slitters.map(({ maxWebWidthUm }) => (maxWebWidthUm as number | null) ?? Infinity));
}

function checkWidth({ widthUm }: PurchaseOrderLine, widestUm: number): Fault[] {
  if (!widthUm || widthUm <= widestUm) return [];
  const mm = umToMm(widthUm);
  return [
    lineFault(
      'widthUm',
      `${mm}`,
      `${mm} mm is wider than the web of any slitter`,
      `up to ${umToMm(widestUm)} mm`,
    ),
  ];
}

function checkDays(line: PurchaseOrderLine, orderedOn: IsoDate): Fault[] {
  const days = [
    ['wantedOn', line.wantedOn],
    ['confirmedOn', line.confirmedOn],
  ] as const;
  return days.flatMap(([field, day]) =>
    day && day < orderedOn
      ? [lineFault(field, day, `${day} lies before the order, ${orderedOn}`, `${orderedOn} or later`)]
      : [],
  );
}

const spelling = async (trx: Knex, name: 'suppliers' | 'grades', code: string): Promise<string | undefined> =>
  (await findCodes(trx, RESOURCES[name], [code])).get(code.toLowerCase());

const unknown = (fields: readonly Field[], name: string, code: string, of: 'suppliers' | 'grades'): Fault =>
  faultOf(
    fields,
    name,
    code,
    `there is no ${RESOURCES[of].singular} ${code}`,
    `a code from the list of ${RESOURCES[of].plural}`,
  );

const headFault = (name: string, value: string, wrong: string, right: string): Fault =>
  faultOf(ORDER_FIELDS, name, value, wrong, right);
const lineFault = (name: string, value: string, wrong: string, right: string): Fault =>
  faultOf(ORDER_LINE_FIELDS, name, value, wrong, right);

export function faultOf(
  fields: readonly Field[],
  name: string,
  value: string,
  wrong: string,
  right: string,
): Fault {
  const field = fields.find((one) => one.name === name) as Field;
  return { field: name, column: fieldHead(field), value, wrong, right };
}
