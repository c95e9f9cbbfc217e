// Receive film: say what came, see every roll with what is wrong or odd about it, then take in all good ones or none.
// One form: the button "see" reads it, the button "receive" reads it again and writes. Without JavaScript.
import type { Request, RequestHandler, Response } from 'express';
import { toCome } from '../../domain/purchaseOrder.ts';
import { PLAIN_COLUMNS, RECEIPT_FIELDS, ROLL_LIST } from '../../domain/receipt.ts';
import { type Fault, fieldHead } from '../../domain/resource.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { type OrderProgress, ordersToArrive } from '../../usecases/buying/readPurchaseOrders.ts';
import { newestReceipts } from '../../usecases/receiving/readReceipts.ts';
import {
  confirmKey,
  previewReceipt,
  type ReadReceipt,
  type ReadRoll,
  receiveRolls,
  sortedRolls,
} from '../../usecases/receiving/receiveRolls.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { defaultsOf, inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count, grouped } from '../words.ts';

const FIELDS = Object.values(RECEIPT_FIELDS).flat();
/** So many rolls are shown one by one; the counts are of all. */
const MOST_SHOWN = 300;

interface State {
  typed: TypedTexts;
  list: string;
  act: ActForm;
  actFault?: string | undefined;
  confirmed: readonly string[];
  receipt?: ReadReceipt;
  /** What was asked for could not be done as it stands. */
  refused?: string;
}

/** GET /receive; a purchase order named in the address is filled in. */
export function receiveForm(services: Services): RequestHandler {
  return async (req, res) => {
    const named = typeof req.query.order === 'string' ? req.query.order : '';
    const typed = { ...defaultsOf(FIELDS), receivedOn: services.today(), purchaseOrder: named };
    await show(services, req, res, { typed, list: '', act: newAct(req), confirmed: [] });
  };
}

/** POST /receive: the preview, or taking the rolls in. */
export function receivePost(services: Services): RequestHandler {
  return async (req, res) => {
    const body = (req.body ?? {}) as Record<string, unknown>;
    const typed = typedOf(FIELDS, body);
    const list = typeof body.list === 'string' ? body.list : '';
    const confirmed = [body.confirm ?? []].flat().map(String);
    const state = { typed, list, confirmed };
    if (body.do !== 'all' && body.do !== 'good-rolls') {
      const act = { ...newAct(req), by: typeof body.by === 'string' ? body.by.trim() : '' };
      const receipt = await previewReceipt(services.db, { head: typed, list });
      return show(services, req, res, { ...state, act, receipt });
    }
    const act = readAct(req, res);
    if (act.fault) {
      const receipt = await previewReceipt(services.db, { head: typed, list });
      return show(services, req, res, { ...state, act, actFault: act.fault, receipt, refused: act.fault });
    }
    const { by, requestKey } = act;
    const sent = await receiveRolls(
      services.db,
      { head: typed, list },
      { by, requestKey, mode: body.do, confirmed },
    );
    if (sent.ok) return res.redirect(303, `/receipts/${sent.entry}?did=received#main`);
    const { open } = sortedRolls(sent.faults, confirmed);
    const refused =
      open.length > 0
        ? `${count(open.length, 'roll')} must be confirmed or corrected first.`
        : 'Something is wrong with what came, or has changed since you looked.';
    await show(services, req, res, { ...state, act, receipt: sent.faults, refused });
  };
}

async function show(services: Services, req: Request, res: Response, state: State): Promise<void> {
  const { receipt, typed } = state;
  const faults = receipt?.faults ?? [];
  const wrong = faults.length > 0 || state.refused !== undefined;
  const [orders, receipts] = await Promise.all([ordersToArrive(services.db), newestReceipts(services.db)]);
  const groups = [
    { legend: 'The delivery', fields: RECEIPT_FIELDS.delivery },
    { legend: 'What holds for all its rolls, unless the list says otherwise', fields: RECEIPT_FIELDS.rolls },
    { legend: 'Length, mass and diameter', fields: RECEIPT_FIELDS.measuring },
  ];
  const model = {
    title: 'Receive film',
    refused: undefined,
    ...state,
    faults: faults.map((fault) => ({ ...fault, at: fault.field === 'list' ? 'list' : `i-${fault.field}` })),
    listFault: faults.find(({ field }) => field === 'list'),
    groups: await Promise.all(
      groups.map(async ({ legend, fields }) => ({
        legend,
        inputs: await inputsOf(services, fields, typed, faults),
      })),
    ),
    orders: orders.map(orderLine),
    columns: ROLL_LIST.fields.map(fieldHead),
    plain: PLAIN_COLUMNS,
    preview: receipt && faults.length === 0 ? previewModel(receipt, state.confirmed) : undefined,
    receipts,
    count,
  };
  showPage(req, res, 'receive/form', model, wrong ? 422 : 200);
}

function orderLine(order: OrderProgress) {
  const waiting = order.lines.filter((line) => toCome(line) > 0);
  const words = waiting.map((line) => `${toCome(line)} x ${line.grade} ${grouped(umToMm(line.widthUm))} mm`);
  return { code: order.code, supplier: order.supplierName, words: words.join(', ') };
}

function previewModel(receipt: ReadReceipt, confirmed: readonly string[]) {
  const { good, faulty } = sortedRolls(receipt, confirmed);
  const odd = good.filter(({ warnings }) => warnings.length > 0).length;
  const shown = receipt.rolls.slice(0, MOST_SHOWN);
  const massKg = good.reduce((sum, { row }) => sum + Number(row.massKg ?? 0), 0);
  const lengthMm = good.reduce((sum, { row }) => sum + Number(row.lengthMm), 0);
  const rolls = shown.map((roll) => rollLine(roll, confirmed));
  return {
    good: good.length,
    faulty,
    odd,
    total: `${grouped(mmToM(lengthMm), 0)} m, ${grouped(massKg, 1)} kg`,
    rolls,
    hidden: receipt.rolls.length - shown.length,
    order: receipt.order !== undefined,
    diameters: shown.some(({ diameterUm }) => diameterUm !== null),
  };
}

function rollLine(roll: ReadRoll, confirmed: readonly string[]) {
  const { row, faults, warnings } = roll;
  const number = (value: unknown, edge: (inner: number) => number) =>
    value === null || value === undefined ? '' : grouped(edge(value as number));
  const key = confirmKey(roll);
  return {
    number: roll.number,
    code: roll.supplierRoll,
    item: row.item ?? '',
    width: number(row.widthUm, umToMm),
    length: number(row.lengthMm, mmToM),
    mass: number(row.massKg, (kg) => kg),
    diameter: number(roll.diameterUm, umToMm),
    lot: row.lot ?? '',
    location: row.location ?? '',
    line: roll.line ?? '',
    faults: faults.map(({ column, wrong, right }: Fault) => ({ column, wrong, right })),
    warnings: faults.length > 0 ? [] : warnings,
    key,
    confirmed: confirmed.includes(key),
  };
}
