// A goods receipt that is done: what came, and the labels to print for its rolls. A roll's label can be printed again
// from its page. One label is about A6, black, several on a sheet of A4 or Letter.
import type { RequestHandler } from 'express';
import { RESOURCES } from '../../domain/resources.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { openReceipt, type ReceiptSeen } from '../../usecases/receiving/readReceipts.ts';
import { showPage } from '../page.ts';
import { barcode } from '../sending/barcode.ts';
import type { Services } from '../services.ts';
import { rowOrRefuse } from '../tables/resourceRow.ts';
import { count, grouped, rowHref } from '../words.ts';

/** GET /receipts/:entry. */
export function receiptPage(services: Services): RequestHandler {
  return async (req, res) => {
    const receipt = await openReceipt(services.db, String(req.params.entry));
    showPage(req, res, 'receive/receipt', {
      title: `Goods receipt ${receipt.entry}`,
      under: '/receive',
      did: req.query.did,
      receipt,
      when: receipt.at.toISOString().slice(0, 16).replace('T', ' '),
      many: count(receipt.rolls.length, 'roll'),
      rolls: receipt.rolls.map((roll) => ({
        ...roll,
        href: rowHref('rolls', roll.roll),
        width: grouped(umToMm(roll.widthUm)),
        length: grouped(mmToM(roll.lengthMm)),
        mass: roll.massKg ? grouped(roll.massKg) : '',
      })),
    });
  };
}

type Labelled = Pick<
  ReceiptSeen['rolls'][number],
  'roll' | 'item' | 'widthUm' | 'lengthMm' | 'massKg' | 'lot'
> & {
  supplierRoll?: string;
  kind: string;
  supplier: string;
  receivedOn: string;
  coreInsideUm?: number | null;
};

/** GET /receipts/:entry/labels: one label for each of its rolls. */
export function receiptLabels(services: Services): RequestHandler {
  return async (req, res) => {
    const receipt = await openReceipt(services.db, String(req.params.entry));
    const { supplierName: supplier, receivedOn } = receipt;
    const labels = receipt.rolls.map((roll) => labelOf({ ...roll, kind: 'base', supplier, receivedOn }));
    const model = { title: `Labels of goods receipt ${receipt.entry}`, under: '/receive', labels };
    showPage(req, res, 'receive/labels', { ...model, backHref: `/receipts/${receipt.entry}` });
  };
}

/** GET /rolls/:code/label: the label of one roll as it is now. */
export function rollLabel(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
    if (row.kind === 'finished')
      return res.redirect(303, `/labels?${new URLSearchParams({ roll: String(row.code) })}`);
    const text = (name: string) => (row[name] ?? '') as string;
    const label = labelOf({
      roll: text('code'),
      kind: text('kind'),
      item: text('item'),
      widthUm: row.widthUm as number,
      lengthMm: row.lengthMm as number,
      massKg: row.massKg as number | null,
      lot: row.lot as string | null,
      supplier: text('supplier'),
      receivedOn: text('receivedOn'),
      coreInsideUm: row.coreInsideUm as number | null,
    });
    const model = { title: `Label of roll ${label.code}`, under: '/rolls', labels: [label] };
    showPage(req, res, 'receive/labels', { ...model, backHref: rowHref('rolls', label.code) });
  };
}

function labelOf(roll: Labelled) {
  const facts: [string, string][] = [
    ['Width', `${grouped(umToMm(roll.widthUm))} mm`],
    ['Length', `${grouped(mmToM(roll.lengthMm), 1)} m`],
    ['Mass', roll.massKg ? `${grouped(roll.massKg, 2)} kg` : 'not weighed'],
    ['Lot', roll.lot ?? ''],
    ['Core', roll.coreInsideUm ? `${grouped(umToMm(roll.coreInsideUm))} mm` : ''],
    ['Supplier', [roll.supplier, roll.supplierRoll].filter(Boolean).join(', ')],
    ['Received', roll.receivedOn],
  ];
  return {
    code: roll.roll,
    item: roll.item,
    kind: roll.kind === 'base' ? 'base film' : roll.kind,
    facts: facts.filter(([, value]) => value !== ''),
    bars: barcode('code128', roll.roll),
  };
}
