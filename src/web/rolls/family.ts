// Where a roll comes from and what became of it; where a lot went. The answer first, then the picture, then the same as
// a list, then orders and customers page by page.
import type { Request, RequestHandler } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import {
  type Family,
  type FinishedOfOrder,
  familyOfLot,
  familyOfRoll,
} from '../../usecases/rolls/readFamily.ts';
import { drawFamily } from '../drawings/pictureFamily.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { andList, count, grouped, rowHref } from '../words.ts';
import { familyColumns, familyList, lotHref } from './familyTree.ts';

const PAGE_SIZE = 50;

function asked(req: Request): { page: number; pageSize: number; order: string | undefined } {
  const page = /^\d{1,6}$/.test(String(req.query.page)) ? Math.max(1, Number(req.query.page)) : 1;
  return {
    page,
    pageSize: PAGE_SIZE,
    order: typeof req.query.order === 'string' ? req.query.order : undefined,
  };
}

/** GET /rolls/:code/family. */
export function rollFamilyPage(services: Services): RequestHandler {
  return async (req, res) => {
    const code = String(req.params.code);
    const family = await familyOfRoll(services.db, code, asked(req));
    if (!family) throw new Refusal('not-found', { what: 'roll', code });
    const known = family.starts[0] as string;
    showPage(req, res, 'family', {
      title: `Where roll ${known} comes from and went`,
      under: '/rolls',
      back: { href: rowHref('rolls', known), text: `Roll ${known}` },
      ...familyModel(family, `${rowHref('rolls', known)}/family`, asked(req)),
    });
  };
}

/** GET /lots/:lot. */
export function lotPage(services: Services): RequestHandler {
  return async (req, res) => {
    const lot = String(req.params.lot);
    const family = await familyOfLot(services.db, lot, asked(req));
    if (!family) throw new Refusal('not-found', { what: 'lot', code: lot });
    showPage(req, res, 'family', {
      title: `Where lot ${lot} went`,
      under: '/rolls',
      back: { href: `/rolls?${new URLSearchParams({ lot })}`, text: `All rolls of lot ${lot}` },
      ...familyModel(family, lotHref(lot), asked(req)),
    });
  };
}

function familyModel(family: Family, href: string, { page, order }: ReturnType<typeof asked>) {
  const { orders, orderCount } = family.finished;
  return {
    answer: answerOf(family),
    notFollowed: family.notFollowed,
    picture: drawFamily(familyColumns(family)),
    tree: familyList(family),
    ends: family.rolls.some(({ code, kind }) => kind === 'finished' && family.starts.includes(code)),
    orders: orders.map((row) => orderModel(row, href)),
    pages: pagesOf(order === undefined ? orderCount : 0, page, href),
    single: family.single && {
      order: order || 'nobody, for the shelf',
      total: count(family.single.total, 'roll'),
      backHref: `${href}#orders`,
      rolls: family.single.rows.map((roll) => ({
        code: roll.code,
        href: rowHref('rolls', roll.code),
        parent: roll.parent,
        parentHref: rowHref('rolls', roll.parent),
        width: grouped(roll.widthUm / 1000),
        length: grouped(roll.madeMm / 1000),
        status: roll.status,
      })),
      pages: pagesOf(family.single.total, page, href, order),
    },
  };
}

function answerOf(family: Family): string {
  const of = (...kinds: string[]) => family.rolls.filter(({ kind }) => kinds.includes(kind)).length;
  const base = family.rolls.filter(({ kind }) => kind === 'base');
  const named = base
    .filter(({ lot }) => lot)
    .map(({ lot, supplierName }) => `${lot}${supplierName ? ` of ${supplierName}` : ''}`);
  const lots = [...new Set(named)];
  const made = family.finished.parents.reduce((sum, { rolls }) => sum + rolls, 0);
  const { orderCount, customerCount } = family.finished;
  const back =
    base.length === 0
      ? 'It was entered without its base film, so no supplier is known.'
      : `Base film: ${count(base.length, 'roll')}${lots.length > 0 ? ` of ${lots.length === 1 ? 'lot' : 'lots'} ${andList(lots.slice(0, 5))}${lots.length > 5 ? ` and ${lots.length - 5} more` : ''}` : ', without a lot entered'}.`;
  const coated = of('coated', 'stub');
  const forward =
    made === 0
      ? ''
      : ` ${count(made, 'finished roll')} for ${count(orderCount, 'order')} of ${count(customerCount, 'customer')}.`;
  const [start] = family.rolls.filter(({ code, order }) => order !== null && family.starts.includes(code));
  const whom = start ? ` For ${start.customerName}, order ${start.order}, ${start.status}.` : '';
  return `${back}${coated > 0 ? ` ${count(coated, 'coated roll')}.` : ''}${forward}${whom}`;
}

function orderModel(row: FinishedOfOrder, href: string) {
  return {
    order: row.order ?? 'for the shelf',
    orderHref: row.order === null ? undefined : rowHref('orders', row.order),
    customer: row.customerName ?? '',
    customerHref: row.customer === null ? undefined : rowHref('customers', row.customer),
    product: row.product,
    width: grouped(row.widthUm / 1000),
    rolls: grouped(row.rolls),
    rollsHref: `${href}?${new URLSearchParams({ order: row.order ?? '' })}#orders`,
    metres: grouped(row.madeMm / 1000),
    dispatched: grouped(row.dispatched),
    released: grouped(row.released),
    held: row.held > 0 ? grouped(row.held) : '',
  };
}

function pagesOf(total: number, page: number, href: string, order?: string) {
  const last = Math.ceil(total / PAGE_SIZE);
  const at = (to: number) =>
    `${href}?${new URLSearchParams({ page: String(to), ...(order === undefined ? {} : { order }) })}#orders`;
  return {
    last,
    page,
    before: page > 1 && last > 1 ? at(Math.min(page - 1, last)) : undefined,
    after: page < last ? at(page + 1) : undefined,
  };
}
