// What the purchase of base film is planned from: needs of each grade by day, offers, and what holds for all lines of one
// order of a supplier together. Days count from today, areas in m2, money in the plant's currency.

export interface BuyingOffer {
  code: string;
  supplier: string;
  grade: string;
  rollKg: number;
  /** What a roll does for the need: its area times how well its width suits the orders. */
  rollM2: number;
  pricePerKg: number;
  /** From so many kg in one order the second price holds for all of it. */
  breakFromKg: number | undefined;
  breakPricePerKg: number | undefined;
  minOrderKg: number;
  /** Rolls are sold in groups of so many. */
  groupRolls: number;
  /** Days from now until it can be here, its spread included. */
  earliestDay: number;
}

/** What is ordered of a supplier for one day is one order: it travels together and must be worth enough. */
export interface SupplierTerms {
  supplier: string;
  minOrderValue: number | undefined;
  containerKg: number | undefined;
  containerRolls: number | undefined;
  /** Freight of each container, full or not. */
  containerCost: number;
}

/** Film that is needed on a day beyond the day before; below 0: film on the way arrives, and so much less is missing. */
export interface NeedOnDay {
  day: number;
  areaM2: number;
}

export interface GradeNeeds {
  grade: string;
  needs: readonly NeedOnDay[];
  latePerM2Day: number;
}

export interface BuyingCosts {
  /** Of each order of a supplier, however many lines it has. */
  perOrder: number;
  /** Share of the price that lying in stock costs in a year. */
  holdingShare: number;
}

export interface BuyingTask {
  grades: readonly GradeNeeds[];
  offers: readonly BuyingOffer[];
  terms: readonly SupplierTerms[];
  costs: BuyingCosts;
}

/** A full pallet of so many kg holds whole rolls only; a roll heavier than it stands for one. */
export const rollsInMultiple = (multipleKg: number, rollKg: number): number =>
  Math.max(1, Math.floor(multipleKg / rollKg + 1e-9));

/** How many containers an order takes; 0 where its supplier names none. */
export function containersFor(terms: SupplierTerms | undefined, kg: number, rolls: number): number {
  const byKg = terms?.containerKg === undefined ? 0 : kg / terms.containerKg;
  const byRolls = terms?.containerRolls === undefined ? 0 : rolls / terms.containerRolls;
  return Math.ceil(Math.max(byKg, byRolls) - 1e-9);
}

/** How full its containers are: of kg and rolls, what is fuller; undefined without containers. */
export function containerFill(
  terms: SupplierTerms | undefined,
  kg: number,
  rolls: number,
): number | undefined {
  const containers = containersFor(terms, kg, rolls);
  if (containers === 0) return undefined;
  const byKg = terms?.containerKg === undefined ? 0 : kg / terms.containerKg;
  const byRolls = terms?.containerRolls === undefined ? 0 : rolls / terms.containerRolls;
  return Math.max(byKg, byRolls) / containers;
}

const MOST_DAYS = 14;

export interface Buckets {
  /** Days on which something is needed or could first arrive, in order. */
  days: number[];
  /** The last day of need: stock is held until then. */
  end: number;
  /** For each grade, what has to have come by each of the days. */
  neededM2: Map<string, number[]>;
}

/** The buckets of time; where needs change on many days, neighbours are put together: the most of them, on the first of them. */
export function bucketsOf(grades: readonly GradeNeeds[], offers: readonly BuyingOffer[]): Buckets {
  const changes = grades.flatMap(({ needs }) => needs.filter(({ areaM2 }) => Math.abs(areaM2) > 1e-6));
  const changed = [...new Set(changes.map(({ day }) => day))].sort((a, b) => a - b);
  const size = Math.max(1, Math.ceil(changed.length / MOST_DAYS));
  const together = Array.from({ length: Math.ceil(changed.length / size) }, (_, i) =>
    changed.slice(i * size, (i + 1) * size),
  );
  const firsts = together.map(([first]) => first as number);
  const days = [...new Set([...firsts, ...offers.map(({ earliestDay }) => earliestDay)])].sort(
    (a, b) => a - b,
  );
  const neededM2 = new Map(
    grades.map(({ grade, needs }) => {
      const upTo = (last: number): number =>
        needs.reduce((m2, { day, areaM2 }) => (day <= last ? m2 + areaM2 : m2), 0);
      return [
        grade,
        days.map((day) => {
          const bucket = together.findLast(([first]) => (first as number) <= day) ?? [];
          return Math.max(0, ...bucket.map(upTo));
        }),
      ];
    }),
  );
  return { days, end: firsts.at(-1) ?? 0, neededM2 };
}

/** Parts of the task that share no supplier: each is a problem of its own. Grades without an offer are left out. */
export function partsOf(task: BuyingTask): BuyingTask[] {
  const parts: { grades: Set<string>; suppliers: Set<string> }[] = [];
  for (const { grade, supplier } of task.offers) {
    const touched = parts.filter((part) => part.grades.has(grade) || part.suppliers.has(supplier));
    const grades = new Set([grade, ...touched.flatMap((part) => [...part.grades])]);
    const suppliers = new Set([supplier, ...touched.flatMap((part) => [...part.suppliers])]);
    for (const part of touched) parts.splice(parts.indexOf(part), 1);
    parts.push({ grades, suppliers });
  }
  return parts.map(({ grades, suppliers }) => ({
    ...task,
    grades: task.grades.filter(({ grade }) => grades.has(grade)),
    offers: task.offers.filter(({ grade }) => grades.has(grade)),
    terms: task.terms.filter(({ supplier }) => suppliers.has(supplier)),
  }));
}
