// Hours of the slitters that a question's product has to leave alone: runs that are released and not cut yet, as they were
// planned; and open orders, promises and held quotes of other products, each estimated by itself from its rolls: sets of
// as many strips as the widest roll of its film takes, and one set-up. Orders without a day leave their hours to others.
import type { Knex } from 'knex';
import type { SalesState } from '../../domain/answer.ts';
import { setMinutes } from '../../domain/filmMath.ts';
import { takenDays, type Work } from '../../domain/hoursTaken.ts';
import type { Row } from '../../domain/resource.ts';
import { type IsoDate, mmToM } from '../../domain/units.ts';
import { ROUND_THE_CLOCK } from '../../domain/workCalendar.ts';
import { widestWebs } from '../../store/hours.ts';
import { openOrders, rowsByCode } from '../../store/planningRows.ts';
import { releasedRunsLeft } from '../../store/trim.ts';

type Slitters = SalesState['document']['slitters'];

/** The slitters with the minutes in their calendars that others take. */
export async function withHoursOfOthers(
  trx: Knex,
  today: IsoDate,
  product: string,
  slitters: Slitters,
): Promise<Slitters> {
  const work = new Map<string, Work[]>(slitters.map(({ id }) => [id, []]));
  for (const { run, sets } of await releasedRunsLeft(trx))
    work.get(run.slitter)?.push({ minutes: (run.minutes * sets) / run.sets, by: 'now' });
  for (const { slitter, ...one } of await ordersOfOthers(trx, today, product, slitters, work))
    work.get(slitter)?.push(one);
  return slitters.map((slitter) => {
    const calendar = { ...ROUND_THE_CLOCK, ...slitter.calendar } as typeof ROUND_THE_CLOCK;
    const taken = takenDays(calendar, today, work.get(slitter.id) ?? []);
    return taken.length > 0 ? { ...slitter, calendar: { ...slitter.calendar, taken } } : slitter;
  });
}

async function ordersOfOthers(
  trx: Knex,
  today: IsoDate,
  product: string,
  slitters: Slitters,
  released: Map<string, Work[]>,
): Promise<(Work & { slitter: string })[]> {
  const orders = (await openOrders(trx, {})).filter((order) => order.product !== product && order.dueOn);
  const products = new Map((await rowsByCode(trx, 'products')).map((row) => [String(row.code), row]));
  const webs = await widestWebs(trx);
  const load = new Map(
    slitters.map(({ id }) => [id, (released.get(id) ?? []).reduce((sum, one) => sum + one.minutes, 0)]),
  );
  return orders.flatMap((order) => {
    const row = products.get(String(order.product)) as Row;
    const slitter = leastLoaded(slitters, row, load);
    if (!slitter) return [];
    const minutes = estimate(order, webOf(row, webs), slitter);
    load.set(slitter.id, (load.get(slitter.id) ?? 0) + minutes);
    const by = (String(order.dueOn) < today ? today : order.dueOn) as IsoDate;
    return [{ slitter: slitter.id, minutes, by }];
  });
}

/** Of the slitters that may run the product the one with least to do; undefined where none is among these. */
function leastLoaded(slitters: Slitters, product: Row, load: Map<string, number>) {
  const codes = product.slitters as string[];
  return slitters
    .filter(({ id }) => codes.length === 0 || codes.includes(id))
    .sort((a, b) => (load.get(a.id) ?? 0) - (load.get(b.id) ?? 0))[0];
}

function webOf(product: Row, webs: Map<string, number>): number {
  const items = [String(product.code), ...(product.grades as string[])];
  return Math.max(0, ...items.map((item) => webs.get(item) ?? 0));
}

function estimate(order: Row, webUm: number, slitter: Slitters[number]): number {
  const { edgeTrimMinMm, maxWebWidthMm, maxStrips = Number.POSITIVE_INFINITY } = slitter;
  const web = webUm > 0 ? webUm : 1000 * (maxWebWidthMm ?? 0);
  const usable = web - 1000 * ((edgeTrimMinMm?.left ?? 0) + (edgeTrimMinMm?.right ?? 0));
  const strips = Math.max(1, Math.min(maxStrips, Math.floor(usable / Number(order.widthUm))));
  const perSet =
    setMinutes({
      lengthM: mmToM(order.lengthMm as number),
      metresPerMinute: slitter.metresPerMinute ?? Number.POSITIVE_INFINITY,
      rampUpSeconds: slitter.rampUpSeconds ?? 0,
      rampDownSeconds: slitter.rampDownSeconds ?? 0,
    }) + (slitter.minutesPerSetChange ?? 0);
  return (slitter.minutesPerSetup ?? 0) + Math.ceil(Number(order.rolls) / strips) * perSet;
}
