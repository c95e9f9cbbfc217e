// The mixed-integer program of a purchase: how many groups of rolls of each offer and width arrive on each day at which of its
// prices, which orders of a supplier that makes, how many containers they fill, what is late; and the film of each grade, cut
// into sets (purchaseFilm.ts). Rows are one-sided, so that the same program can be relaxed (lp.ts) and solved in whole numbers
// (highs.ts).
import type { LpRow } from '../solvers/lp.ts';
import { arrivalDays, type Buckets, bucketsOf, daysOf } from './purchaseDays.ts';
import { type Draft, openDraft } from './purchaseDraft.ts';
import { addFilm, type FilmDraft, type FilmRows } from './purchaseFilm.ts';
import { addLines, type Lot, type OrderRows } from './purchaseLines.ts';
import type { BuyingOffer, BuyingTask, SupplierTerms } from './purchaseTask.ts';

export interface PurchaseProgram {
  draft: Draft;
  lots: Lot[];
  film: FilmRows[];
  calendar: Calendar;
}

/** Days of need and, for each supplier, days on which its film may come. */
export interface Calendar {
  buckets: Buckets;
  arrivals: Map<string, number[]>;
}

/** What lines of grades that are not in the program have in an order that is placed. */
export interface OrderLoad {
  value: number;
  kg: number;
  rolls: number;
}
export const orderKey = (supplier: string, day: number): string => JSON.stringify([supplier, day]);

export interface ProgramForm extends Pick<FilmDraft, 'sets'> {
  /** All film of this grade comes in one line. */
  oneOrderOf?: string | undefined;
  /** Those of a larger task of which this one is a part. */
  calendar?: Calendar;
  /** Orders that others have placed, by `orderKey`. */
  loads?: ReadonlyMap<string, OrderLoad>;
}

/** The program without its sets. */
export function purchaseProgram(task: BuyingTask, form: ProgramForm): PurchaseProgram {
  const { oneOrderOf, calendar = calendarOf(task) } = form;
  const { buckets } = calendar;
  const draft = openDraft();
  const suppliers = [...bySupplier(task.offers)].map(([supplier, offers]) => ({
    ...{ supplier, offers, days: calendar.arrivals.get(supplier) ?? [] },
  }));
  const film = task.grades.map((needs) => {
    const own = suppliers.filter(({ offers }) => offers.some(({ grade }) => grade === needs.grade));
    const given = daysOf(
      needs,
      buckets,
      own.flatMap(({ days }) => days),
    );
    const widths = task.offers.filter(({ grade }) => grade === needs.grade).map(({ widthUm }) => widthUm);
    return addFilm(draft, needs, given, widths, form);
  });
  const program: PurchaseProgram = { draft, lots: [], film, calendar };
  const only = oneOrderOf === undefined ? undefined : draft.addRow('<=', 1);
  for (const { supplier, offers, days } of suppliers)
    for (const day of days) addOrderOf(program, task, { supplier, offers, day }, form, only);
  return program;
}

function calendarOf(task: BuyingTask): Calendar {
  const buckets = bucketsOf(task.grades);
  const arrivals = [...bySupplier(task.offers)].map(([supplier, offers]): [string, number[]] => [
    supplier,
    arrivalDays(task, buckets, offers),
  ]);
  return { buckets, arrivals: new Map(arrivals) };
}

function bySupplier(offers: readonly BuyingOffer[]): Map<string, BuyingOffer[]> {
  const found = new Map<string, BuyingOffer[]>();
  for (const offer of offers) found.set(offer.supplier, [...(found.get(offer.supplier) ?? []), offer]);
  return found;
}

/** What may be ordered of a supplier for a day: also after its last need, since what comes late may still come cheaper, with another order. */
function addOrderOf(
  program: PurchaseProgram,
  { terms, costs }: BuyingTask,
  { supplier, offers, day }: { supplier: string; offers: readonly BuyingOffer[]; day: number },
  { oneOrderOf, loads }: ProgramForm,
  only: number | undefined,
): void {
  const able = offers.filter(({ earliestDay }) => day >= earliestDay);
  if (able.length === 0) return;
  const { draft, film, calendar, lots } = program;
  const own = terms.find((one) => one.supplier === supplier);
  const order = addOrder(draft, costs.perOrder, own, loads?.get(orderKey(supplier, day)));
  for (const code of new Set(able.map((offer) => offer.code))) {
    const widths = able.filter((offer) => offer.code === code);
    const { grade } = widths[0] as BuyingOffer;
    const rows = film.find((one) => one.grade === grade) as FilmRows;
    const held = (costs.holdingShare * Math.max(0, calendar.buckets.end - day)) / 365;
    const place = { widths, day, rows, held, order, minOrderValue: own?.minOrderValue ?? 0 };
    lots.push(...addLines(draft, place, grade === oneOrderOf ? only : undefined));
  }
}

/** An order of a supplier for a day: its cost, its least value, its containers; what others have in it counts first. */
function addOrder(
  draft: Draft,
  perOrder: number,
  terms: SupplierTerms | undefined,
  load: OrderLoad | undefined,
): OrderRows {
  const placed = draft.addColumn(load ? 0 : perOrder, [], { upper: 1, whole: true });
  const room = terms && (terms.containerKg !== undefined || terms.containerRolls !== undefined);
  const containers = room ? draft.addColumn(terms.containerCost, [], { whole: true }) : undefined;
  const row = (sense: LpRow['sense'], rhs: number, ...parts: [number | undefined, number | undefined][]) => {
    if (parts.some(([column, value]) => column === undefined || value === undefined)) return undefined;
    const made = draft.addRow(sense, rhs);
    for (const [column, value] of parts) draft.put(column as number, made, value as number);
    return made;
  };
  // What is ordered takes a container at least, which the relaxation would not see.
  if (!load) row('>=', 0, [containers, 1], [placed, -1]);
  const least = terms?.minOrderValue;
  const missing = least === undefined ? undefined : least - (load?.value ?? 0);
  const fits = (most: number | undefined, taken: number) =>
    row('<=', -taken, [containers, most === undefined ? undefined : -most]);
  return {
    placed,
    value: load
      ? missing !== undefined && missing > 0
        ? draft.addRow('>=', missing)
        : undefined
      : row('>=', 0, [placed, least === undefined ? undefined : -least]),
    kg: fits(terms?.containerKg, load?.kg ?? 0),
    rolls: fits(terms?.containerRolls, load?.rolls ?? 0),
  };
}
