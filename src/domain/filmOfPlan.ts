// What a finished plan says of base film: how much of which grade each order's strips were cut from, start-up loss of the
// coater, trims, lead-in and tails included; and what share of the film became ordered strips. Areas in m2.
import type { Plan, Run } from './plan.ts';
import type { ProblemDocument } from './problemDocument.ts';

/** The parts of a plan and of its problem that are read here. */
export interface PlanParts {
  id: number;
  runs: Run[];
  coating: Plan['coating'];
  outcomes: Plan['orders'];
  orders: ProblemDocument['orders'];
  products: ProblemDocument['products'];
  offers: NonNullable<ProblemDocument['offers']>;
  /** Base rolls and coated rolls of the problem, without their bad places. */
  rolls: { id: string; kind: string; item: string; widthMm: number; count?: number }[];
}

export interface FilmOfOrder {
  order: string;
  plan: number;
  /** Rolls that the plan makes of it. */
  planned: number;
  /** With the strips that are cut from it. */
  film: { grade: string; areaM2: number; stripM2: number }[];
  /** Rolls in stock that its strips are cut from. */
  stockRolls: string[];
}

export interface YieldSeen {
  product: string;
  filmM2: number;
  goodM2: number;
}

interface WebUsed {
  grade: string;
  product: string;
  filmM2: number;
}

const itemOf = (roll: string): string => roll.replace(/#\d+$/, '');

/** The base film under each coated roll of the plan. */
function websOf(plan: PlanParts): Map<string, WebUsed> {
  const webs = new Map<string, WebUsed>();
  for (const { roll, product, lengthM } of plan.coating) {
    const id = itemOf(roll);
    const stock = plan.rolls.find((one) => one.id === id || one.id === roll);
    const offer = plan.offers.find((one) => one.id === id);
    const widthMm = stock?.widthMm ?? offer?.widthMm ?? webOfRuns(plan, roll);
    const grade = stock?.item ?? offer?.grade;
    if (widthMm === undefined || grade === undefined) continue;
    const lossM = plan.products.find((one) => one.id === product)?.coating?.lossM ?? 0;
    webs.set(roll, { grade, product, filmM2: (widthMm / 1000) * (lengthM + lossM) });
  }
  return webs;
}

/** The width of an offer that has several follows from the runs. */
function webOfRuns(plan: PlanParts, roll: string): number | undefined {
  const run = plan.runs.find(({ from }) => from.some((one) => one.roll === roll));
  return run && (run.strips.at(-1)?.toMm ?? 0) + run.trimRightMm;
}

/** Area of strips cut from each roll, by order; strips for the shelf and over-runs under their own name. */
function cutOf(plan: PlanParts): Map<string, Map<string, number>> {
  const cut = new Map<string, Map<string, number>>();
  for (const run of plan.runs)
    for (const from of run.from)
      for (const strip of run.strips) {
        if (strip.waste) continue;
        const name = strip.order ?? '';
        const areaM2 = ((strip.toMm - strip.fromMm) / 1000) * run.lengthM * from.sets;
        const ofRoll = cut.get(from.roll) ?? new Map<string, number>();
        ofRoll.set(name, (ofRoll.get(name) ?? 0) + areaM2);
        cut.set(from.roll, ofRoll);
      }
  return cut;
}

const total = (values: Iterable<number>): number => [...values].reduce((a, b) => a + b, 0);

/** Film that each order of the plan takes, in the plan's share of the rolls that it is cut from. */
export function filmOfOrders(plan: PlanParts): FilmOfOrder[] {
  const webs = websOf(plan);
  const cut = cutOf(plan);
  return plan.outcomes.map(({ id, planned }) => {
    const film = new Map<string, { areaM2: number; stripM2: number }>();
    const stockRolls = new Set<string>();
    for (const [roll, strips] of cut) {
      const own = strips.get(id);
      if (own === undefined) continue;
      const stock = plan.rolls.find((one) => one.id === roll || one.id === itemOf(roll));
      if (stock) stockRolls.add(stock.id);
      const web = webs.get(roll);
      if (!web) continue;
      const before = film.get(web.grade) ?? { areaM2: 0, stripM2: 0 };
      film.set(web.grade, {
        areaM2: before.areaM2 + (web.filmM2 * own) / total(strips.values()),
        stripM2: before.stripM2 + own,
      });
    }
    return {
      order: id,
      plan: plan.id,
      planned,
      film: [...film].map(([grade, areas]) => ({ grade, ...areas })),
      stockRolls: [...stockRolls],
    };
  });
}

/** Film and what became of it, by product; only rolls that are coated for the plan. */
export function yieldsOf(plan: PlanParts): YieldSeen[] {
  const seen = new Map<string, YieldSeen>();
  const cut = cutOf(plan);
  for (const [roll, { product, filmM2 }] of websOf(plan)) {
    const one = seen.get(product) ?? { product, filmM2: 0, goodM2: 0 };
    one.filmM2 += filmM2;
    one.goodM2 += total((cut.get(roll) ?? new Map<string, number>()).values());
    seen.set(product, one);
  }
  return [...seen.values()];
}
