// Papers and labels of dispatch: the pack list of an order, the label of a package, labels of finished rolls.
// They print in black on A4 and Letter.
import type { RequestHandler } from 'express';
import { finishedLabel } from '../../domain/finishedLabel.ts';
import { isDemoPrefix } from '../../domain/gs1.ts';
import {
  packList,
  type RollToPack,
  readPackage,
  rollsToLabel,
  type Sending,
} from '../../usecases/sending/readSending.ts';
import { showPage } from '../page.ts';
import { manyOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { count, grouped, rowHref } from '../words.ts';
import { barcode } from './barcode.ts';
import { kilos, orderLine, packageHref, ssccWords } from './sendingWords.ts';

/** GET /orders/:code/pack-list. */
export function packListPage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const { order, packages } = await packList(services.db, String(req.params.code));
    const all = packages.flatMap(({ rolls }) => rolls);
    showPage(req, res, 'sending/packList', {
      title: `Pack list of order ${order.order}`,
      under: '/dispatch',
      today,
      order: orderLine(order, today),
      demo: isDemoPrefix(services.companyPrefix),
      total: `${count(all.length, 'roll')} in ${count(packages.length, 'package')}, ${grouped(all.reduce((sum, roll) => sum + roll.lengthMm, 0) / 1000)} m, ${kilos(all.reduce((sum, roll) => sum + roll.massMg, 0))} net`,
      packages: packages.map(({ package: one, rolls }) => ({
        sscc: ssccWords(one.sscc),
        href: packageHref(one.sscc),
        status: one.status === 'open' ? 'not yet sent' : 'sent',
        bars: barcode('gs1-128', `(00)${one.sscc}`, 30),
        total: `${count(rolls.length, 'roll')}, ${kilos(rolls.reduce((sum, roll) => sum + roll.massMg, 0))}`,
        rolls: rolls.map((roll) => ({
          code: roll.roll,
          length: grouped(roll.lengthMm / 1000),
          mass: kilos(roll.massMg),
          lot: roll.lot ?? '',
          splices: grouped(roll.splices),
        })),
      })),
    });
  };
}

/** GET /packages/:sscc/labels: the package's own, then one for each of its rolls. */
export function packageLabels(services: Services): RequestHandler {
  return async (req, res) => {
    const { package: one, rolls, orders } = await readPackage(services.db, String(req.params.sscc));
    const labels = await labelsOf(
      services,
      rolls.map(({ roll }) => roll),
    );
    showPage(req, res, 'sending/labels', {
      title: `Labels of package ${ssccWords(one.sscc)}`,
      under: '/dispatch',
      backHref: packageHref(one.sscc),
      demo: isDemoPrefix(services.companyPrefix),
      package: {
        sscc: ssccWords(one.sscc),
        customer: one.customerName,
        orders: orders.map(({ order }) => order).join(', '),
        rolls: count(rolls.length, 'roll'),
        mass: kilos(rolls.reduce((sum, roll) => sum + roll.massMg, 0)),
        bars: barcode('gs1-128', `(00)${one.sscc}`, 32),
      },
      labels,
    });
  };
}

/** GET /labels?roll=...&roll=...: labels of finished rolls. */
export function finishedLabels(services: Services): RequestHandler {
  return async (req, res) => {
    const codes = manyOf(req.query.roll);
    const labels = await labelsOf(services, codes);
    showPage(req, res, 'sending/labels', {
      title:
        codes.length === 1
          ? `Label of roll ${codes[0]}`
          : `Labels of ${count(codes.length, 'finished roll')}`,
      under: '/rolls',
      backHref: codes.length === 1 ? rowHref('rolls', String(codes[0])) : '/dispatch',
      demo: isDemoPrefix(services.companyPrefix),
      package: undefined,
      labels,
    });
  };
}

async function labelsOf({ db, companyPrefix }: Services, codes: readonly string[]) {
  const { rolls, orders } = await rollsToLabel(db, codes);
  return rolls.map((roll) => labelOf(roll, orders.get(roll.order ?? ''), companyPrefix));
}

function labelOf(roll: RollToPack, order: Sending | undefined, companyPrefix: string) {
  const { elements, leftOut } = finishedLabel(
    { ...roll, itemNumber: roll.itemNumber as number },
    companyPrefix,
  );
  return {
    code: roll.code,
    product: roll.item,
    size: `${grouped(roll.widthUm / 1000)} mm x ${grouped(roll.lengthMm / 1000)} m`,
    facts: [
      ['Lot', roll.lot ?? 'none'],
      ['Mass', roll.massKg ? kilos(roll.massKg * 1e6) : 'not weighed'],
      ['Splices', grouped(roll.splices)],
      ...(order ? [['For', `${order.customerName}, ${order.order}`]] : []),
      ...(roll.useBy ? [['Use by', roll.useBy]] : []),
    ],
    symbol: barcode('gs1datamatrix', elements),
    read: elements.split(/(?=\()/),
    leftOut,
  };
}
