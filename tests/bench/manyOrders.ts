// A plant with many open order lines for measuring: the demo plant with its products, widths, slitters and offers, more
// lines in the mix of its orders, or many of one product, and film for most of them. Always the same rows for a seed.
import type { Knex } from 'knex';
import { demoPlant } from '../../seed/demoPlant.ts';
import type { ResourceName, Row } from '../../src/domain/resource.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import { addDays, areaM2, type IsoDate } from '../../src/domain/units.ts';
import { upsertRows } from '../../src/store/rows.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { beforeWriting, bookWritten } from '../../src/usecases/tables/bookWritten.ts';
import { completeRow } from '../../src/usecases/tables/rowInput.ts';
import { seeded } from '../planner/reference/randomProblem.ts';

/** Lines of each product; the rest of the plant has the demo's. */
export type Mix = (product: string, inDemo: number) => number;

/** Days ahead for which orders are due, and the part of the ordered area that there is film for, trim included. */
const DUE = { first: 4, last: 60 };
const FILM_FOR_AREA = 1.25;
/** Of that film, so much is coated already. */
const COATED_SHARE = 0.4;

/** Fills an empty database. @returns how many order lines are open. */
export async function fillManyOrders(db: Knex, today: IsoDate, mix: Mix): Promise<number> {
  await seedDemo(db, today);
  const plant = demoPlant(today);
  const orders = plant.products.flatMap(({ code }) => moreOrders(plant, String(code), today, mix));
  const rolls = plant.products.flatMap(({ code }) => filmFor(plant, String(code), orders));
  await db.transaction(async (trx) => {
    for (const [name, rows] of [
      ['rolls', rolls],
      ['orders', orders],
    ] as const) {
      const whole = rows.map((row) => completeRow(RESOURCES[name], row).row);
      await beforeWriting(trx, RESOURCES[name]);
      await upsertRows(trx, RESOURCES[name], whole);
      await bookWritten(trx, RESOURCES[name], whole, { by: 'Bench', how: 'a plant for measuring' });
    }
  });
  return Number((await db('order_lines').where({ status: 'open' }).count('code as n').first())?.n);
}

type Plant = Record<ResourceName, Row[]>;

/** Catalogue sizes of the product, as many rolls as one of its demo orders has. */
function moreOrders(plant: Plant, product: string, today: IsoDate, mix: Mix): Row[] {
  const like = plant.orders.filter((order) => order.product === product);
  const sizes = plant.fillers.filter((filler) => filler.product === product);
  const lines = mix(product, like.length) - like.length;
  const random = seeded(Number(product.replace(/\D/g, '')));
  const one = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)] as T;
  return Array.from({ length: Math.max(0, lines) }, (_, k) => {
    const { widthUm, lengthMm } = one(sizes);
    const { rolls, overPct, underPct, customer, priority } = one(like);
    const days = DUE.first + Math.floor(random() * (DUE.last - DUE.first));
    const code = `M-${product}-${String(k + 1).padStart(3, '0')}`;
    return {
      ...{ code, customer, product, widthUm, lengthMm, overPct, underPct, priority },
      rolls: Math.max(1, Math.round(Number(rolls) * (0.3 + 0.7 * random()))),
      dueOn: addDays(today, days),
    };
  });
}

/** Copies of the rolls that the demo has for a product, coated ones and base film, until the new orders have enough. */
function filmFor(plant: Plant, product: string, orders: readonly Row[]): Row[] {
  const areaOf = ({ widthUm, lengthMm }: Row) => areaM2(Number(widthUm), Number(lengthMm));
  const needed = orders
    .filter((order) => order.product === product)
    .reduce((sum, order) => sum + Number(order.rolls) * areaOf(order), 0);
  const grades = plant.products.find(({ code }) => code === product)?.grades as string[];
  const released = plant.rolls.filter(({ status, kind }) => status === 'released' && kind !== 'stub');
  const coated = released.filter(({ item }) => item === product);
  const film = released.filter(({ item }) => grades.includes(String(item)));
  const copies = (of: Row[], area: number, mark: string): Row[] => {
    const rows: Row[] = [];
    for (let sum = 0; of.length > 0 && sum < area; sum += areaOf(rows.at(-1) as Row)) {
      const roll = of[rows.length % of.length] as Row;
      rows.push({ ...roll, code: `${mark}-${product}-${rows.length + 1}` });
    }
    return rows;
  };
  const area = FILM_FOR_AREA * needed;
  const first = copies(coated, COATED_SHARE * area, 'C');
  const rest = area - first.reduce((sum, roll) => sum + areaOf(roll), 0);
  return [...first, ...copies(film, rest, 'B')];
}
