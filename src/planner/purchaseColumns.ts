// The columns of the covering program of purchases: an order of one offer that arrives on one day, in as many whole rolls
// as the offer allows and as cover the need up to some later day. Areas m2, money, days from today.

export interface BuyingOffer {
  code: string;
  rollKg: number;
  /** What a roll does for the need: its area times how well its width suits the orders. */
  rollM2: number;
  pricePerKg: number;
  breakFromKg: number | undefined;
  breakPricePerKg: number | undefined;
  minOrderKg: number;
  multipleKg: number | undefined;
  multipleRolls: number | undefined;
  /** Days from now until it can be here, its spread included. */
  earliestDay: number;
}

/** Film that is needed on a day beyond all days before, counted from today. */
export interface NeedOnDay {
  day: number;
  areaM2: number;
}

export interface BuyingCosts {
  perOrder: number;
  /** Share of the price that lying in stock costs in a year. */
  holdingShare: number;
  latePerM2Day: number;
}

export interface OrderLine {
  offer: string;
  arrivesDay: number;
  rolls: number;
  kg: number;
  pricePerKg: number;
  /** Film as paid. */
  cost: number;
}

export interface Column extends OrderLine {
  m2: number;
  objective: number;
  holding: number;
}

const MOST_DAYS = 14;

export interface Day {
  day: number;
  /** Needed up to this day, in all. */
  neededM2: number;
}

/** Days on which something is needed or could first arrive; neighbours are put together on the earlier when there are many. */
export function daysOf(needs: readonly NeedOnDay[], offers: readonly BuyingOffer[]): Day[] {
  const wanted = needs.filter(({ areaM2 }) => areaM2 > 1e-6).sort((a, b) => a.day - b.day);
  const size = Math.ceil(wanted.length / MOST_DAYS);
  const kept = wanted.map((_, i) => (wanted[i - (i % size)] as NeedOnDay).day);
  const all = [...new Set([...kept, ...offers.map(({ earliestDay }) => earliestDay)])].sort((a, b) => a - b);
  return all.map((day) => ({
    day,
    neededM2: wanted.reduce((m2, need, i) => ((kept[i] as number) <= day ? m2 + need.areaM2 : m2), 0),
  }));
}

export function columnsOf(
  days: readonly Day[],
  offers: readonly BuyingOffer[],
  costs: BuyingCosts,
  oneOrder: boolean,
): Column[] {
  const end = (days.at(-1) as Day).day;
  return offers.flatMap((offer) =>
    days.flatMap(({ day }, d) => {
      if (day < offer.earliestDay) return [];
      const before = day <= offer.earliestDay || oneOrder ? 0 : ((days[d - 1]?.neededM2 ?? 0) as number);
      const upTo = (oneOrder ? days.slice(-1) : days.slice(d)).map(({ neededM2 }) => neededM2 - before);
      const wanted = upTo.filter((m2) => m2 > 0).map((m2) => allowedRolls(offer, m2 / offer.rollM2));
      if (wanted.length === 0) return [];
      if (offer.breakFromKg) wanted.push(allowedRolls(offer, offer.breakFromKg / offer.rollKg));
      return [...new Set(wanted)].map((rolls) => columnOf(offer, day, rolls, end, costs));
    }),
  );
}

function columnOf(offer: BuyingOffer, day: number, rolls: number, end: number, costs: BuyingCosts): Column {
  const kg = rolls * offer.rollKg;
  const lower = offer.breakFromKg !== undefined && kg >= offer.breakFromKg - 1e-9;
  const pricePerKg = lower ? (offer.breakPricePerKg as number) : offer.pricePerKg;
  const cost = kg * pricePerKg;
  const holding = (cost * costs.holdingShare * (end - day)) / 365;
  const objective = cost + costs.perOrder + holding;
  return {
    offer: offer.code,
    arrivesDay: day,
    rolls,
    kg,
    pricePerKg,
    cost,
    m2: rolls * offer.rollM2,
    objective,
    holding,
  };
}

/** The smallest number of rolls from `atLeast` on that the offer allows. */
export function allowedRolls(offer: BuyingOffer, atLeast: number): number {
  let rolls = Math.max(1, Math.ceil(Math.max(atLeast, offer.minOrderKg / offer.rollKg) - 1e-9));
  if (offer.multipleRolls) rolls = Math.ceil(rolls / offer.multipleRolls) * offer.multipleRolls;
  if (offer.multipleKg) {
    // A full pallet or container holds whole rolls only; a roll heavier than it stands for one.
    const inOne = offer.multipleKg / offer.rollKg;
    for (let many = 1; ; many += 1) {
      const full = Math.max(many, Math.floor(many * inOne + 1e-9));
      if (full >= rolls) return full;
    }
  }
  return rolls;
}
