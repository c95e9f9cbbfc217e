// The search box of every page: an exact code goes straight to its page; otherwise what was found, table by table.
import type { RequestHandler } from 'express';
import { fieldOf, type Resource, type Row } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import { getRow, listRows } from '../usecases/tables/listRows.ts';
import { showPage } from './page.ts';
import type { Services } from './services.ts';
import { listHref } from './tables/listQuery.ts';
import { count, rowHref, shown } from './words.ts';

const SHOWN = 10;
/** In the order in which people look for things. */
const ORDER = [
  'rolls',
  'orders',
  'products',
  'grades',
  'customers',
  'offers',
  'suppliers',
  'slitters',
  'fillers',
  'forecasts',
  'rates',
] as const;

/** GET /find?q=. */
export function findPage(services: Services): RequestHandler {
  return async (req, res) => {
    const wanted = String(req.query.q ?? '')
      .trim()
      .slice(0, 100);
    const resources = ORDER.map((name) => RESOURCES[name]);
    if (wanted !== '')
      for (const resource of resources) {
        const row = await getRow(services.db, resource, wanted);
        if (row) return res.redirect(303, rowHref(resource.name, String(row[resource.key])));
      }
    const lists = wanted === '' ? [] : await Promise.all(resources.map((r) => foundIn(services, r, wanted)));
    const found = lists.filter((list) => list.total > 0);
    showPage(req, res, 'find', { title: 'Find', wanted, found });
  };
}

async function foundIn(services: Services, resource: Resource, search: string) {
  const query = { page: 1, pageSize: SHOWN, sort: resource.key, descending: false, filters: {}, search };
  const { rows, total } = await listRows(services.db, resource, query);
  return {
    total,
    words: count(total, resource.singular, resource.plural),
    allHref: listHref(resource, query),
    rows: rows.map((row) => {
      const code = String(row[resource.key]);
      return {
        code,
        href: rowHref(resource.name, code),
        about: aboutRow(resource, row),
      };
    }),
  };
}

/** What tells one row from another: the size and state of a roll or an order, else the name. */
function aboutRow(resource: Resource, row: Row): string {
  const text = (name: string) => shown(fieldOf(resource, name), row[name]);
  if (resource.name !== 'rolls' && resource.name !== 'orders')
    return String(row.name ?? row.grade ?? row.polymer ?? row.note ?? '');
  const size = `${text('widthUm')} mm x ${text('lengthMm')} m`;
  return resource.name === 'rolls'
    ? `${text('item')}, ${text('kind')}, ${size}, ${text('status')}`
    : `${text('product')}, ${text('rolls')} of ${size}, ${text('status')}`;
}
