// The purchase of film that is cut into known strips, as an integer program of another kind than the planner's: every set across
// every web is listed, film and strips are carried from day to day in stocks of their own (what is late is a debt), days are
// taken as they are. And small random cases of it, from seeds: widths of several offers or of one, stock, film on the way, forecasts.
import type { ProblemDocument } from '../../../src/domain/problemDocument.ts';
import { parseProblem } from '../../../src/domain/problemDocument.ts';
import { cuttingOf, type WantedStrip } from '../../../src/planner/purchase/filmCutting.ts';
import type { BuyingOffer, BuyingTask, GradeNeeds } from '../../../src/planner/purchase/purchaseTask.ts';
import { type Column, OPTIMAL, solveMip } from './highsMip.ts';
import { seeded } from './randomProblem.ts';

/** The machine and the coater of a case, in mm and m. */
export interface Plant {
  edgeMm: number;
  maxStrips: number;
  maxWidths: number;
  tailM: number;
  leadInM: number;
  lossM: number;
  coatingPerM2: number;
  rollM: number;
}

export interface CutCase {
  task: BuyingTask;
  plant: Plant;
}

const PRODUCTS = ['P', 'Q'];

function plantDocument(plant: Plant): ProblemDocument {
  const edge = { left: plant.edgeMm, right: plant.edgeMm };
  return {
    format: 'lanewright-problem/1',
    slitters: [
      {
        id: 'S',
        maxStrips: plant.maxStrips,
        maxDistinctWidths: plant.maxWidths,
        edgeTrimMinMm: edge,
        leadInM: plant.leadInM,
        tailM: plant.tailM,
      },
    ],
    products: PRODUCTS.map((id) => ({
      id,
      coating: { grades: ['G'], lossM: plant.lossM, costPerM2: plant.coatingPerM2 },
    })),
    grades: [{ id: 'G', thicknessUm: 100, densityGPerCm3: 1 }],
    orders: [{ id: 'A', product: 'P', widthMm: 100, lengthM: 100, rolls: 1 }],
  };
}

export function cuttingFor(plant: Plant, strips: readonly WantedStrip[]) {
  const read = parseProblem(plantDocument(plant));
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return cuttingOf(read.problem, strips, plant.rollM * 1000);
}

/** All sets of strips of one product and length that fit a web, as numbers of each strip. */
function everySet(strips: readonly WantedStrip[], of: number[], webUm: number, plant: Plant): number[][] {
  const found: number[][] = [];
  const grow = (at: number, counts: number[], restUm: number, left: number): void => {
    if (at === of.length) {
      const kinds = new Set(of.filter((_, i) => (counts[i] ?? 0) > 0).map((strip) => strips[strip]?.widthUm));
      if (kinds.size > 0 && kinds.size <= plant.maxWidths) found.push(counts);
      return;
    }
    const widthUm = strips[of[at] as number]?.widthUm as number;
    for (let many = 0; many <= left && many * widthUm <= restUm; many++)
      grow(at + 1, [...counts, many], restUm - many * widthUm, left - many);
  };
  grow(0, [], webUm - 2000 * plant.edgeMm, plant.maxStrips);
  return found;
}

/** The least that any way to buy and cut costs. */
export function leastCutBuyingCost({ task, plant }: CutCase): number {
  const days = [
    ...new Set([
      ...task.grades
        .flatMap(({ needs, strips }) => [...needs, ...(strips?.needs ?? []), ...(strips?.film ?? [])])
        .map(({ day }) => day),
      ...task.offers.map(({ earliestDay }) => earliestDay),
    ]),
  ].sort((a, b) => a - b);
  const needDays = task.grades.flatMap(({ needs, strips }) => [...needs, ...(strips?.needs ?? [])]);
  const end = Math.max(...needDays.map(({ day }) => day));
  const rows: { lower: number; upper: number }[] = [];
  const columns: Column[] = [];
  const row = (lower: number, upper: number): number => rows.push({ lower, upper }) - 1;
  const column = (cost: number, whole = false, upper = Infinity): Column => {
    const made = { cost, upper, whole, entries: [] as [number, number][] };
    columns.push(made);
    return made;
  };

  /** Balances of film: grade, width and day. */
  const film = new Map<string, number>();
  for (const need of task.grades) addGrade(need);
  for (const supplier of new Set(task.offers.map((offer) => offer.supplier)))
    for (const day of days) addOrder(supplier, day);
  const answer = solveMip(rows, columns, { seconds: 60 });
  if (answer.status !== OPTIMAL) throw new Error(`no proven optimum: status ${answer.status}`);
  return answer.cost;

  function addGrade(need: GradeNeeds): void {
    const { grade, strips } = need;
    if (!strips) throw new Error('this model is for known strips');
    const offered = task.offers.filter((offer) => offer.grade === grade).map(({ widthUm }) => widthUm);
    const webs = [...new Set([...offered, ...strips.film.map(({ widthUm }) => widthUm)])];
    const wanted = strips.cutting.strips;
    const areaRows = days.map((day) =>
      row(
        need.needs.reduce((m2, one) => (one.day <= day ? m2 + one.areaM2 : m2), 0),
        Infinity,
      ),
    );
    const stripRows = wanted.map((_, strip) =>
      days.map((day) => {
        const m2 = strips.needs.reduce(
          (sum, one) => (one.strip === strip && one.day === day ? sum + one.areaM2 : sum),
          0,
        );
        return row(m2, m2);
      }),
    );
    for (const [strip, own] of stripRows.entries())
      own.forEach((here, d) => {
        if (wanted[strip] === undefined) return;
        const kept = column(0);
        kept.entries.push([here, -1]);
        if (own[d + 1] !== undefined) kept.entries.push([own[d + 1] as number, 1]);
      });
    for (const web of webs) {
      const balance = days.map((day) => {
        const comes = strips.film.reduce(
          (m2, one) => (one.widthUm === web && one.day === day ? m2 + one.areaM2 : m2),
          0,
        );
        return row(-comes, -comes);
      });
      balance.forEach((here, d) => {
        film.set(JSON.stringify([grade, web, days[d]]), here);
        const next = balance[d + 1];
        const kept = column(0);
        kept.entries.push([here, -1], ...(next === undefined ? [] : [[next, 1] as [number, number]]));
        // held for what is needed by area, and given back the next day
        const held = column(0);
        held.entries.push([here, -1], [areaRows[d] as number, 1]);
        if (next === undefined) return;
        held.entries.push([next, 1]);
        const late = column(need.latePerM2Day * ((days[d + 1] as number) - (days[d] as number)));
        late.entries.push([here, 1], [next, -1]);
      });
      for (const kind of new Set(wanted.map(({ product, lengthMm }) => `${product}|${lengthMm}`))) {
        const of = wanted.flatMap((one, i) => (`${one.product}|${one.lengthMm}` === kind ? [i] : []));
        const lengthM = (wanted[of[0] as number] as WantedStrip).lengthMm / 1000;
        const good =
          (lengthM / (lengthM + plant.tailM)) * ((plant.rollM - plant.lossM - plant.leadInM) / plant.rollM);
        for (const counts of everySet(wanted, of, web, plant))
          balance.forEach((here, d) => {
            const cut = column(plant.coatingPerM2);
            cut.entries.push([here, -1]);
            of.forEach((strip, i) => {
              const m2 = ((counts[i] as number) * (wanted[strip] as WantedStrip).widthUm * good) / web;
              if (m2 > 0) cut.entries.push([stripRows[strip]?.[d] as number, m2]);
            });
          });
      }
    }
  }

  function addOrder(supplier: string, day: number): void {
    const own = task.offers.filter((one) => one.supplier === supplier && one.earliestDay <= day);
    const terms = task.terms.find((one) => one.supplier === supplier);
    const placed = column(task.costs.perOrder, true, 1);
    const lots: { taken: Column; value: number; kg: number; rolls: number }[] = [];
    for (const code of new Set(own.map((offer) => offer.code))) {
      const widths = own.filter((offer) => offer.code === code);
      const once = row(0, Infinity);
      placed.entries.push([once, 1]);
      for (const [price, fromKg, belowKg] of pricesOf(widths[0] as BuyingOffer)) {
        const chosen = column(0, true, 1);
        chosen.entries.push([once, -1]);
        const least = row(0, Infinity);
        const most = row(-Infinity, 0);
        chosen.entries.push([least, -Math.max(fromKg, 1)], [most, -belowKg]);
        for (const offer of widths) {
          const kg = offer.groupRolls * offer.rollKg;
          const value = kg * price;
          const taken = column(
            value * (1 + (task.costs.holdingShare * Math.max(0, end - day)) / 365),
            true,
            60,
          );
          taken.entries.push([least, kg], [most, kg]);
          taken.entries.push([
            film.get(JSON.stringify([offer.grade, offer.widthUm, day])) as number,
            offer.groupRolls * offer.rollM2,
          ]);
          lots.push({ taken, value, kg, rolls: offer.groupRolls });
        }
      }
    }
    if (terms?.minOrderValue !== undefined) {
      const enough = row(0, Infinity);
      placed.entries.push([enough, -terms.minOrderValue]);
      for (const { taken, value } of lots) taken.entries.push([enough, value]);
    }
    const containers = column(terms?.containerCost ?? 0, true);
    if (terms?.containerKg !== undefined) {
      const fits = row(0, Infinity);
      containers.entries.push([fits, terms.containerKg]);
      for (const { taken, kg } of lots) taken.entries.push([fits, -kg]);
    }
  }
}

function pricesOf(offer: BuyingOffer): [price: number, fromKg: number, belowKg: number][] {
  const { pricePerKg, minOrderKg, breakFromKg, breakPricePerKg } = offer;
  const without = 60 * offer.groupRolls * offer.rollKg * 3;
  if (breakFromKg === undefined) return [[pricePerKg, minOrderKg, without]];
  return [
    [pricePerKg, minOrderKg, breakFromKg],
    [breakPricePerKg as number, Math.max(minOrderKg, breakFromKg), without],
  ];
}

/** One or two grades; offers of one width and of two, stock and film on the way in a width of its own, forecasts beside orders. */
export function randomCutBuying(seed: number): CutCase {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const plant: Plant = {
    edgeMm: whole(0, 2) * 5,
    maxStrips: whole(5, 9),
    maxWidths: whole(1, 3),
    tailM: whole(0, 2),
    leadInM: whole(0, 10),
    lossM: whole(0, 40),
    coatingPerM2: whole(0, 3) / 10,
    rollM: 1000,
  };
  const grades = ['G', 'H'].slice(0, whole(1, 2));
  const suppliers = ['S1', 'S2'];
  const offers = grades.flatMap((grade) => suppliers.flatMap((supplier) => offersFrom(supplier, grade)));
  return {
    plant,
    task: {
      offers,
      grades: grades.map(needsOf),
      terms: suppliers.map((supplier) => ({
        supplier,
        minOrderValue: random() < 0.4 ? whole(5, 20) * 100 : undefined,
        containerKg: random() < 0.3 ? whole(4, 12) * 100 : undefined,
        containerRolls: undefined,
        containerCost: whole(0, 4) * 50,
      })),
      costs: { perOrder: whole(0, 200), holdingShare: whole(0, 30) / 100 },
    },
  };

  function offersFrom(supplier: string, grade: string): BuyingOffer[] {
    const price = 2 + whole(0, 15) / 10;
    const cheaper = random() < 0.4;
    const terms = {
      ...{ code: `${supplier}-${grade}`, supplier, grade, pricePerKg: price },
      breakFromKg: cheaper ? whole(3, 6) * 100 : undefined,
      breakPricePerKg: cheaper ? price * 0.85 : undefined,
      minOrderKg: random() < 0.4 ? whole(1, 4) * 100 : 0,
      ...{ groupRolls: random() < 0.2 ? 2 : 1, earliestDay: whole(0, 2) * 7 },
    };
    const widths = [whole(80, 130) * 10, ...(random() < 0.4 ? [whole(60, 79) * 10] : [])];
    return widths.map((mm) => ({ ...terms, widthUm: mm * 1000, rollM2: mm, rollKg: mm / 10 }));
  }

  function needsOf(grade: string): GradeNeeds {
    const made = new Map(
      Array.from({ length: whole(2, 4) }, () => {
        const strip = {
          product: PRODUCTS[whole(0, 1)] as string,
          widthUm: whole(10, 45) * 10_000,
          lengthMm: whole(1, 2) * 100_000,
        };
        return [JSON.stringify(strip), strip] as const;
      }),
    );
    const strips = [...made.values()];
    const wanted = strips.flatMap((_, strip) =>
      Array.from({ length: whole(1, 2) }, () => ({ strip, day: whole(0, 4) * 14, areaM2: whole(50, 900) })),
    );
    const film = random() < 0.5 ? [{ widthUm: 700_000, day: whole(0, 3) * 14, areaM2: whole(100, 900) }] : [];
    const needs = random() < 0.4 ? [{ day: whole(0, 4) * 14, areaM2: whole(100, 900) }] : [];
    const latePerM2Day = whole(1, 8) / 100;
    return {
      grade,
      needs,
      latePerM2Day,
      strips: { cutting: cuttingFor(plant, strips), needs: wanted, film },
    };
  }
}
