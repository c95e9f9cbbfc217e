// The list of a resource: searched, filtered, sorted and paged in the database, its whole state in the address.
// The same address under /export gives the same rows as a CSV file.
import type { RequestHandler } from 'express';
import { isRanged } from '../../domain/filterText.ts';
import { type Field, fieldHead, type Resource, type Row } from '../../domain/resource.ts';
import { inUseOrder } from '../../usecases/rolls/rollHistory.ts';
import { exportCsv } from '../../usecases/tables/exportCsv.ts';
import { listRows } from '../../usecases/tables/listRows.ts';
import { choicesOf, shownNames } from '../choices.ts';
import { type Mark, markOf, markWords } from '../marks.ts';
import { showPage } from '../page.ts';
import { rollThumb } from '../rolls/fieldOfRoll.ts';
import type { Services } from '../services.ts';
import { capital, grouped, isNumber, referenceHref, rowHref, shown } from '../words.ts';
import {
  filterFields,
  type ListQuery,
  listHref,
  PAGE_SIZES,
  queryText,
  readListQuery,
  sortable,
} from './listQuery.ts';

interface Cell {
  text: string;
  href: string | undefined;
  number: boolean;
  mark: Mark | undefined;
  markWords: string;
  kind: string;
}

const inList = (resource: Resource): Field[] => resource.fields.filter((f) => f.inList);

/** GET /<resource>: the list page. */
export function listPage(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const { query, faults } = readListQuery(resource, req.query);
    if (faults.length > 0) {
      const model = { title: capital(resource.plural), faults, href: `/${resource.name}` };
      return showPage(req, res, 'resource/badQuery', model, 422);
    }
    const { rows, total } = await listRows(services.db, resource, query);
    const today = services.today();
    const names = await shownNames(services, resource, rows);
    const useOrder =
      resource.name === 'rolls'
        ? await inUseOrder(
            services.db,
            rows.map((row) => String(row.code)),
            today,
          )
        : undefined;
    showPage(req, res, 'resource/list', {
      title: capital(resource.plural),
      resource,
      query,
      total,
      totalText: grouped(total),
      did: req.query.did,
      heads: inList(resource).map((f) => headOf(resource, query, f)),
      rows: rows.map((row) => ({
        ...lineOf(resource, row, today, names),
        use: useOrder?.get(String(row.code)),
      })),
      filters: await Promise.all(
        filterFields(resource).map(async (field) => ({
          field,
          value: query.filters[field.name] ?? '',
          choices: await choicesOf(services, field),
          hint: isRanged(field) ? (field.kind === 'date' ? 'day or day..day' : '80 or 80..120') : '',
        })),
      ),
      filtered: query.search !== '' || Object.keys(query.filters).length > 0,
      exportHref: `/export/${resource.name}.csv${queryText(resource, { ...query, page: 1 })}`,
      pages: pagesOf(resource, query, total),
      sizes: PAGE_SIZES,
    });
  };
}

/** GET /export/<resource>.csv: the rows of the list as a file, all pages of it. */
export function exportFile(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const { query, faults } = readListQuery(resource, req.query);
    if (faults.length > 0) {
      const model = { title: capital(resource.plural), faults, href: `/${resource.name}` };
      return showPage(req, res, 'resource/badQuery', model, 422);
    }
    const csv = await exportCsv(services.db, resource, query);
    res.type('text/csv').attachment(`${resource.name}-${services.today()}.csv`).send(csv);
  };
}

function headOf(resource: Resource, query: ListQuery, field: Field) {
  const sorted = query.sort === field.name;
  const again = sorted && !query.descending;
  return {
    label: fieldHead(field),
    number: isNumber(field),
    sorted: sorted ? (query.descending ? 'descending' : 'ascending') : undefined,
    href: sortable(field)
      ? listHref(resource, query, { sort: field.name, descending: again, page: 1 })
      : undefined,
  };
}

type Names = Awaited<ReturnType<typeof shownNames>>;

function lineOf(resource: Resource, row: Row, today: string, names: Names) {
  return {
    code: String(row[resource.key]),
    map: resource.name === 'rolls' ? { drawn: rollThumb(row) } : undefined,
    cells: inList(resource).map((f) => cellOf(resource, f, row, today, names)),
  };
}

function cellOf(resource: Resource, field: Field, row: Row, today: string, names: Names): Cell {
  const value = row[field.name];
  const mark = markOf(field, row, today);
  const isKey = field.name === resource.key;
  return {
    text: names.get(field.name)?.get(String(value)) ?? shown(field, value),
    href: isKey ? rowHref(resource.name, String(value)) : referenceHref(field, row, value),
    number: isNumber(field),
    mark,
    markWords: markWords(field, mark),
    kind: field.kind,
  };
}

function pagesOf(resource: Resource, query: ListQuery, total: number) {
  const last = Math.max(1, Math.ceil(total / query.pageSize));
  const near = [1, query.page - 1, query.page, query.page + 1, last];
  const shownPages = [...new Set(near)].filter((p) => p >= 1 && p <= last).sort((a, b) => a - b);
  const first = (query.page - 1) * query.pageSize;
  return {
    last,
    from: grouped(Math.min(first + 1, total)),
    to: grouped(Math.min(first + query.pageSize, total)),
    links: shownPages.map((p, i) => ({
      page: p,
      gap: i > 0 && p - (shownPages[i - 1] as number) > 1,
      current: p === query.page,
      href: listHref(resource, query, { page: p }),
    })),
  };
}
