// What a limit on ONE pattern may say: which strips it refuses outright, what a pattern may spend, and which
// remainders of the web the machine can take away. Pricing, the integer search and the placing of knives all read
// these rules and nothing else; checkPlan re-derives each limit on its own.
import type { Product, Slitter } from '../../domain/problem.ts';

/** Where a pattern would be cut: a web of this width on this slitter, in sets of this finished length. */
export interface Place {
  slitter: Slitter;
  product: Product;
  widthUm: number;
  lengthMm: number;
  /** Edge trim that the strips of this set ask for on both sides: some are to be kept away from the edges. */
  awayFromEdgeUm?: number;
}

/** Something of which a pattern has only so much. */
export interface Budget {
  limit: number;
  /** Spent by each strip. */
  eachStrip: number;
  /** Spent once by each distinct width. */
  eachWidth: number;
  /** Spent by each waste strip. */
  eachWaste: number;
}

export interface PatternRule {
  /** Why a strip of this width can never be cut at this place, in words for the reader; undefined when it can. */
  refusesStrip?(place: Place, widthUm: number): string | undefined;
  /** Why the place itself is out of the question; undefined when it is not. */
  refusesPlace?(place: Place): string | undefined;
  budget?(place: Place): Budget | undefined;
}
