// The planning problem as the planner sees it: the nouns of the trade, in whole um and mm, every default filled in.
// A limit that does not bind is Infinity. The JSON form of it is in problemDocument.ts.
import type { UntimedRun } from './plan.ts';
import type { IsoDate, Mm, Um } from './units.ts';
import type { WorkCalendar } from './workCalendar.ts';

export interface Edges {
  left: Um;
  right: Um;
}

export interface Slitter {
  id: string;
  maxWebWidthUm: Um;
  minStripWidthUm: Um;
  /** Strips side by side, waste strips included: a waste strip needs a knife like any other. */
  maxStrips: number;
  maxDistinctWidths: number;
  /** Waste strips that may be slit out beside the good ones (0: all excess must fit in the edge trims). */
  maxWasteStrips: number;
  edgeTrimMinUm: Edges;
  edgeTrimMaxUm: Edges;
  minutesPerSetup: number;
  minutesPerKnifeMove: number;
  minutesPerSetChange: number;
  metresPerMinute: number;
  rampUpSeconds: number;
  rampDownSeconds: number;
  /** Lost at the start of each roll that is threaded up. */
  leadInMm: Mm;
  /** Lost with every set. */
  tailMm: Mm;
  maxRollDiameterUm: Um;
  costPerHour: number;
  /** Where the knives stand now, from the left datum edge; undefined when nobody knows: then the first set-up is free of moves. */
  knivesAtUm: Um[] | undefined;
  /** Settings of the knives that are set up already and kept (on a second shaft, say): to run them takes no set-up. */
  keptKnivesUm?: Um[][];
  /** When it works; round the clock unless the problem says otherwise. */
  calendar: WorkCalendar;
  /** Working minutes from the beginning of the day of planning that locked runs take first. */
  busyMinutes?: number;
}

export interface Coating {
  grades: string[];
  coatFreeEdgeUm: Edges;
  lossMm: Mm;
  costPerM2: number;
  leadDays: number;
}

export interface Product {
  id: string;
  /** Thickness of one wound layer in um; undefined when the diameter is not to be checked. */
  layerThicknessUm: number | undefined;
  coreOutsideDiameterUm: Um | undefined;
  maxSplicesPerRoll: number;
  /** Slitters that may run it, by id. */
  slitters: string[];
  coating: Coating | undefined;
}

export interface Grade {
  id: string;
  thicknessUm: number;
  densityGPerCm3: number;
}

/** A bad place: metres from the outer end, millimetres from the left datum edge, as the roll stands in stock. */
export interface Defect {
  fromMm: Mm;
  toMm: Mm;
  fromUm: Um;
  toUm: Um;
  kind: string;
}

export interface StockRoll {
  id: string;
  kind: 'coated' | 'base' | 'stub';
  /** A product id (coated, stub) or a grade id (base). */
  item: string;
  widthUm: Um;
  lengthMm: Mm;
  /** Identical rolls; above 1 the single ones are named id#1 ... id#count. */
  count: number;
  readyOn: IsoDate | undefined;
  useBy: IsoDate | undefined;
  costPerRoll: number;
  defects: Defect[];
  /** A roll that locked runs have begun: it stays on their slitter, and up to here it is used and charged already. */
  begun?: { slitter: string; usedMm: Mm };
}

export interface Offer {
  id: string;
  supplier: string;
  grade: string;
  /** Fixed width: min = max. */
  widthMinUm: Um;
  widthMaxUm: Um;
  widthStepUm: Um;
  rollLengthMm: Mm;
  pricePerKg: number;
  minOrderKg: number;
  leadTimeDays: number;
}

export interface Order {
  id: string;
  product: string;
  widthUm: Um;
  lengthMm: Mm;
  rolls: number;
  /** Rolls to make at least: ceil(rolls (1 - under)), the tolerance rounded inward; with `good`, the rolls to start for them. */
  minRolls: number;
  /** Rolls to make at most: floor(rolls (1 + over)), never below minRolls. */
  maxRolls: number;
  /** When not every roll is expected to be good: the share that is, and the wanted chance of enough good ones, 0 to 1. */
  good: { share: number; wanted: number } | undefined;
  /** Sets that hold its strips keep at least this edge trim on both sides. */
  awayFromEdgeUm: Um;
  dueOn: IsoDate | undefined;
  priority: 'low' | 'normal' | 'rush';
}

export interface Filler {
  product: string;
  widthUm: Um;
  lengthMm: Mm;
  valuePerRoll: number;
  maxRolls: number;
}

export interface Costs {
  perLateRollDay: number;
  /** undefined: dearer than any way of making the order. */
  perShortM2: number | undefined;
  holdingPerM2: number;
  /** undefined: one finished length plus lead-in. */
  stubKeepMinMm: Mm | undefined;
  /** Each splice in the web of a set. */
  perSplice: number;
  /** Worth of each old stub of which nothing is kept; at most what the stub costs. */
  stubUseUp: number;
}

/** A run that stays as it is, in the shape of a plan's run. */
export type LockedRun = UntimedRun;

export interface Problem {
  planOn: IsoDate | undefined;
  currency: string;
  slitters: Slitter[];
  products: Product[];
  grades: Grade[];
  rolls: StockRoll[];
  offers: Offer[];
  orders: Order[];
  fillers: Filler[];
  costs: Costs;
  maxPatterns: number;
  /** Runs that are set up or released already: they stay as they are, first on their slitters, in this order. */
  locks: LockedRun[];
  /** Single rolls of which nothing is taken beyond what the locked runs take, by name. */
  excludeRolls: string[];
}
