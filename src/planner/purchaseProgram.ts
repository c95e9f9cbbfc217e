// The mixed-integer program of a purchase: how many groups of rolls of each offer and width arrive on each day at which of its
// prices, which orders of a supplier that makes, how many containers they fill, what is late; and the film of each grade, cut
// into sets (purchaseFilm.ts). Rows are one-sided, so that the same program can be relaxed (lp.ts) and solved in whole numbers
// (highs.ts).
import type { LpRow } from './lp.ts';
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

export interface ProgramForm extends Pick<FilmDraft, 'sets'> {
  /** All film of this grade comes in one line. */
  oneOrderOf?: string | undefined;
  /** Those of a larger task of which this one is a part. */
  calendar?: Calendar;
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
  { oneOrderOf }: ProgramForm,
  only: number | undefined,
): void {
  const able = offers.filter(({ earliestDay }) => day >= earliestDay);
  if (able.length === 0) return;
  const { draft, film, calendar, lots } = program;
  const own = terms.find((one) => one.supplier === supplier);
  const order = addOrder(draft, costs.perOrder, own);
  for (const code of new Set(able.map((offer) => offer.code))) {
    const widths = able.filter((offer) => offer.code === code);
    const { grade } = widths[0] as BuyingOffer;
    const rows = film.find((one) => one.grade === grade) as FilmRows;
    const held = (costs.holdingShare * Math.max(0, calendar.buckets.end - day)) / 365;
    const place = { widths, day, rows, held, order, minOrderValue: own?.minOrderValue ?? 0 };
    lots.push(...addLines(draft, place, grade === oneOrderOf ? only : undefined));
  }
}

/** An order of a supplier for a day: its cost, its least value, its containers. */
function addOrder(draft: Draft, perOrder: number, terms: SupplierTerms | undefined): OrderRows {
  const placed = draft.addColumn(perOrder, [], { upper: 1, whole: true });
  const room = terms && (terms.containerKg !== undefined || terms.containerRolls !== undefined);
  const containers = room ? draft.addColumn(terms.containerCost, [], { whole: true }) : undefined;
  const row = (sense: LpRow['sense'], column: number | undefined, value: number | undefined) => {
    if (column === undefined || value === undefined) return undefined;
    const made = draft.addRow(sense, 0);
    draft.put(column, made, -value);
    return made;
  };
  // What is ordered takes a container at least, which the relaxation would not see.
  const one = row('>=', placed, containers === undefined ? undefined : 1);
  if (containers !== undefined && one !== undefined) draft.put(containers, one, 1);
  return {
    placed,
    value: row('>=', placed, terms?.minOrderValue),
    kg: row('<=', containers, terms?.containerKg),
    rolls: row('<=', containers, terms?.containerRolls),
  };
}
