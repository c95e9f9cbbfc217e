// The need of base film, grade by grade: open orders through the newest finished plans that cover them as they stand,
// else by area and the usual yield of the product; forecasts beyond the orders; against stock and film on the way.
// Areas in m2; film is needed on the day on which coating has to begin.
import { group, sum } from 'd3-array';
import type { Knex } from 'knex';
import {
  coatedTaken,
  coveringPlans,
  forecastEvents,
  type OrderNeed,
  orderNeeds,
  type Products,
  type ProductYield,
  USUAL_YIELD,
} from '../../domain/filmDemand.ts';
import { filmMassKg, filmYieldM2PerKg } from '../../domain/filmMath.ts';
import { type PlanParts, yieldsOf } from '../../domain/filmOfPlan.ts';
import { type FilmEvent, type NetRequirement, netRequirement } from '../../domain/netRequirement.ts';
import type { Row } from '../../domain/resource.ts';
import { areaM2, type IsoDate, umToMm } from '../../domain/units.ts';
import { mondayOf } from '../../domain/weeks.ts';
import { gradesOfProducts, type Holding, holdings, productHeads } from '../../store/balances.ts';
import {
  type FilmComing,
  filmComing,
  forecastsFrom,
  type GradeHead,
  gradeHeads,
  newestPlans,
  usualSizes,
} from '../../store/filmNeeds.ts';
import { openOrders, usableRolls } from '../../store/planningRows.ts';

/** So many of the newest finished plans are read. */
const PLANS_READ = 40;

export type { OrderNeed };

export interface GradeNeed {
  grade: string;
  polymer: string;
  thicknessUm: number;
  kgPerM2: number;
  /** The roll in which figures are also shown. */
  rollWidthUm: number | undefined;
  rollM2: number | undefined;
  rollKg: number | undefined;
  releasedM2: number;
  /** What is released, by width. */
  released: { widthUm: number; areaM2: number }[];
  quarantineM2: number;
  heldM2: number;
  safetyM2: number;
  /** Film on the way, what is overdue counted for today; lines without any date are not counted. */
  coming: FilmComing[];
  undated: FilmComing[];
  orders: OrderNeed[];
  net: NetRequirement;
  /** All that has to be bought within the horizon, m2. */
  buyM2: number;
}

export interface FilmNeeds {
  grades: GradeNeed[];
  yields: ProductYield[];
  /** Products that are asked for and have no grade to be coated on. */
  withoutGrade: string[];
  weeks: number;
}

/** Needs over so many weeks from the week of `today` on; grades that run short first. */
export async function filmNeeds(db: Knex, today: IsoDate, weeks: number): Promise<FilmNeeds> {
  return db.transaction((trx) => needsWithin(trx, today, weeks), {
    isolationLevel: 'repeatable read',
    readOnly: true,
  });
}

/** The same within a transaction of the caller's. */
export async function needsWithin(db: Knex, today: IsoDate, weeks: number): Promise<FilmNeeds> {
  const heads = await gradeHeads(db);
  const stock = await holdings(db, today);
  const plans = await newestPlans(db, PLANS_READ);
  const products = await readProducts(db, plans);
  const orders = await openOrders(db, {});
  const usable = await usableRolls(db, {
    products: [...products.grades.keys()],
    grades: heads.map(({ grade }) => grade),
    planOn: today,
  });
  const covering = coveringPlans(plans, orders, new Set(usable.map(({ code }) => String(code))));
  const forOrders = orderNeeds(orders, covering, products, stock, coatedTaken(covering, usable), today);
  const forecast = forecastEvents(await forecastsFrom(db, mondayOf(today)), orders, products);
  const coming = await filmComing(db);
  const sizes = new Map((await usualSizes(db, today)).map((size) => [size.grade, size]));
  const asked = new Set(orders.map(({ product }) => String(product)));
  const grades = heads.map((head) => {
    const size = sizes.get(head.grade);
    const own = forOrders.filter(({ grade }) => grade === head.grade);
    const onTheWay = coming.filter(({ grade }) => grade === head.grade);
    const rolls = usable.filter(({ kind, item }) => kind === 'base' && item === head.grade);
    return gradeNeed(head, size, { stock, rolls }, own, forecast.get(head.grade) ?? [], onTheWay, {
      today,
      weeks,
    });
  });
  return {
    grades: grades.sort(
      (a, b) => (a.net.shortOn ?? '9').localeCompare(b.net.shortOn ?? '9') || b.buyM2 - a.buyM2,
    ),
    yields: [...products.yields.values()].filter(({ product }) => asked.has(product)),
    withoutGrade: [...asked].filter((product) => (products.grades.get(product) ?? []).length === 0).sort(),
    weeks,
  };
}

async function readProducts(db: Knex, plans: readonly PlanParts[]): Promise<Products> {
  const heads = await productHeads(db);
  const usable = group(await gradesOfProducts(db), ({ product }) => product);
  const seen = group(plans.flatMap(yieldsOf), ({ product }) => product);
  return {
    grades: new Map(
      heads.map(({ product }) => [product, (usable.get(product) ?? []).map(({ grade }) => grade)]),
    ),
    leadDays: new Map(heads.map(({ product, coatingLeadDays }) => [product, coatingLeadDays])),
    yields: new Map(
      heads.map(({ product }) => {
        const of = seen.get(product) ?? [];
        const filmM2 = sum(of, (one) => one.filmM2);
        const share = filmM2 > 0 ? sum(of, (one) => one.goodM2) / filmM2 : 0;
        const fromPlans = share > 0;
        return [product, { product, share: fromPlans ? share : USUAL_YIELD, fromPlans }];
      }),
    ),
  };
}

function gradeNeed(
  head: GradeHead,
  size: { widthUm: number; lengthMm: number } | undefined,
  { stock, rolls }: { stock: readonly Holding[]; rolls: readonly Row[] },
  orders: OrderNeed[],
  forecast: readonly FilmEvent[],
  lines: readonly FilmComing[],
  span: { today: IsoDate; weeks: number },
): GradeNeed {
  const { thicknessUm, densityGPerCm3 } = head;
  const here = stock.filter((one) => one.kind === 'base' && one.item === head.grade);
  const inStatus = (status: string): number => sum(here, (one) => (one.status === status ? one.areaM2 : 0));
  const coming = lines.filter((line) => dayOf(line) !== undefined);
  const safetyM2 = (head.safetyStockKg ?? 0) * filmYieldM2PerKg(thicknessUm, densityGPerCm3);
  const events: FilmEvent[] = [
    ...orders.map((need) => ({
      day: need.needOn,
      areaM2: need.areaM2,
      what: 'order' as const,
      code: need.order,
    })),
    ...forecast,
    ...coming.map((line) => ({
      day: dayOf(line) as IsoDate,
      areaM2: line.areaM2,
      what: 'delivery' as const,
      code: line.purchaseOrder,
    })),
  ];
  const releasedM2 = inStatus('released');
  const net = netRequirement({ ...span, stockM2: releasedM2, safetyM2, events });
  const web = size && { widthMm: umToMm(size.widthUm), lengthM: size.lengthMm / 1000 };
  return {
    ...head,
    kgPerM2: 1 / filmYieldM2PerKg(thicknessUm, densityGPerCm3),
    rollWidthUm: size?.widthUm,
    rollM2: size && areaM2(size.widthUm, size.lengthMm),
    rollKg: web && filmMassKg({ ...web, thicknessUm, densityGPerCm3 }),
    releasedM2,
    released: [...group(rolls, ({ widthUm }) => widthUm as number)].map(([widthUm, own]) => ({
      widthUm,
      areaM2: sum(own, ({ lengthMm }) => areaM2(widthUm, lengthMm as number)),
    })),
    quarantineM2: inStatus('in quarantine'),
    heldM2: inStatus('on hold'),
    safetyM2,
    coming,
    undated: lines.filter((line) => dayOf(line) === undefined),
    orders,
    net,
    buyM2: sum(net.weeks, (week) => week.netM2),
  };
}

/** When film is counted on: the day confirmed, else the day wanted. */
const dayOf = (line: FilmComing): IsoDate | undefined => line.confirmedOn ?? line.wantedOn ?? undefined;
