// The planner's view of a problem. A plan is made of two kinds of decision: a SET cut across the web (a pattern at a
// site) and the LAYOUT of one roll along its length (which sets it gives). Gilmore & Gomory's two stages
// (Operations Research 13(1), 1965): patterns need slots, layouts of rolls provide them.
import type { Defect, Product, Slitter } from '../../domain/problem.ts';
import type { IsoDate } from '../../domain/units.ts';
import type { Budget, Place } from '../patternRules/rule.ts';
import type { FreeWeb } from './webLanes.ts';

/** Rolls of one product, width and finished length that are wanted: one or more orders, or a filler. */
export interface Demand {
  product: string;
  widthUm: number;
  lengthMm: number;
  /** Sets that hold it keep at least this edge trim on both sides. */
  awayFromEdgeUm: number;
  /** Rolls that must be made, or be paid for as short. */
  min: number;
  /** Rolls that may be made. */
  max: number;
  /** Indexes into problem.orders; empty for a filler. */
  orders: number[];
  /** Index into problem.fillers. */
  filler: number | undefined;
  shortCostPerRoll: number;
  /** Worth of each roll made (fillers). */
  valuePerRoll: number;
}

/** Where one kind of set can be cut: product, slitter, web width, finished length, and the lanes to keep clear of. */
export interface Site {
  index: number;
  place: Place;
  web: FreeWeb;
  /** How much wider than the least the edge trims may grow together, um. */
  trimSlackUm: number;
  budgets: Budget[];
  /** Parallel lists: the demand and the width of each strip that may be cut here. */
  demands: number[];
  widthsUm: number[];
  /** What each strip costs by lateness that its roll cannot avoid, less what it earns as a filler; a parallel list. */
  costPerStrip: number[];
  /** Machine cost of one set: running and set change. */
  costPerSet: number;
  /** The one source whose whole roll gives just this set; undefined when rolls give slots by layouts. */
  wholeRollOf: number | undefined;
}

/** Identical rolls, to be had at most `count` times. */
export interface StockItem {
  count: number;
  /** Names of the single rolls, in the order in which they are to be used: first expired, first out. */
  nameOf(k: number): string;
  /** For rolls that are not there yet but on offer. */
  bought?: Bought;
}

/** One roll on offer: its offer, its mass and its price. */
export interface Bought {
  /** Index into problem.offers. */
  offer: number;
  widthUm: number;
  kg: number;
  cost: number;
}

/** What holds for all widths of an offer together. */
export interface OfferTerms {
  minKg: number;
  pricePerKg: number;
  /** Whether at least the minimum is bought: decided when the branches of the plan are told apart, else open. */
  taken: boolean | undefined;
}

/** One way of using a stock item: on this slitter, for this product. */
export interface Source {
  index: number;
  stock: number;
  slitter: Slitter;
  product: Product;
  widthUm: number;
  /** Web that can be slit: for a base roll what coating leaves of it. */
  lengthMm: number;
  /** Base film that the coater takes before the web begins; 0 for coated rolls. */
  lossMm: number;
  /** Position of the first set, after the lead-in. */
  startMm: number;
  /** The base roll is coated first, as far as it is used; what is left of it stays base film. */
  coats: boolean;
  /** Bad places along the walk. */
  bad: Defect[];
  /** First day on which it can be slit. */
  readyOn: IsoDate | undefined;
  paths: LengthPaths;
  /** Cost of a roll of which everything up to this position is used, stub rule included. */
  charge(endMm: number): number;
  perSplice: number;
  /** What is earned when nothing is kept of it (an old stub); in the charge already. */
  useUp: number;
  /** How much more each mm costs that is left and lost than one that is kept. */
  lostPerMm: number;
  /** Whether what lies beyond this position is kept as a stub. */
  keepsStub(endMm: number): boolean;
}

/**
 * Every way of walking along a roll: nodes are positions, edges are sets (site >= 0) or metres passed over (-1). A set
 * takes its finished length, its tail and what is cut out within it.
 */
export interface LengthPaths {
  positionsMm: number[];
  /** Sorted by `from`; node 0 is the start, after the lead-in. */
  edges: { from: number; to: number; site: number; cutOutMm: number; splices: number }[];
  /** False when there were too many positions and some were left out; bounds then come from value per metre. */
  complete: boolean;
}

export interface Model {
  demands: Demand[];
  sites: Site[];
  stock: StockItem[];
  /** Parallel to problem.offers. */
  offers: OfferTerms[];
  sources: Source[];
  /** For each order (by index) why it cannot be cut at all, when it cannot. */
  refusals: Map<number, string[]>;
  /** Every cost without set-ups is a whole multiple of this; 0 when there is no such step. */
  costStep: number;
}

/** One set across the web: how many strips of each demand. Sparse, by position in the site's lists. */
export interface Pattern {
  site: number;
  /** Strips per entry of the site's lists. */
  counts: number[];
}

/** Sets of a plan: each pattern so many times. */
export type Sets = { pattern: Pattern; times: number }[];

/** One roll along its length. */
export interface Layout {
  source: number;
  /** Edges walked, as indexes into the source's paths. */
  path: number[];
  endMm: number;
}

/** A site that the source serves: all of them take whole rolls, or none does. */
export function firstSite(source: Source): number {
  return source.paths.edges.find((edge) => edge.site >= 0)?.site ?? 0;
}
