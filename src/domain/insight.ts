// What it would be worth to have a little more: one roll of an order, a tolerance, a millimetre of web, a strip, another
// width of film. Every amount is a range that is proven to hold what is asked, of film and running without set-ups;
// money in the problem's currency.

/** The true value lies between the two. */
export interface Range {
  least: number;
  most: number;
}

export type InsightLine =
  /** What one more roll of the order costs at the margin. */
  | { what: 'one-more-roll'; order: string; costs: number }
  /** What it costs more when the order takes exactly what it ordered; all orders together without `order`. */
  | { what: 'tolerance'; order?: string; saves: Range }
  /** One millimetre less edge trim on this side. */
  | { what: 'usable-width'; slitter: string; side: 'left' | 'right'; saves: Range }
  | { what: 'one-more-strip' | 'one-more-width'; slitter: string; limit: number; saves: Range };

/** One width of film that could be had beside the one there is, at the same price per m2. */
export interface WidthCandidate {
  widthMm: number;
  cost: Range;
  /** True when `most` is the cost of a whole plan; otherwise both are of relaxations. */
  planned: boolean;
}

export interface WidthStudy {
  /** Grade of base film, or product where coated rolls are taken as they come. */
  item: string;
  /** The width there is now, to be had without limit. */
  besideMm: number;
  lengthM: number;
  /** Cost with that width alone. */
  without: Omit<WidthCandidate, 'widthMm'>;
  /** From the best on. */
  candidates: WidthCandidate[];
}

export interface Insight {
  currency: string;
  /** Cost of film and running, without set-ups; undefined when the time was up before it was known. */
  base: Range | undefined;
  /** Some order falls short in every plan: then the values are ruled by what missing rolls count. */
  short: boolean;
  lines: InsightLine[];
  widths: WidthStudy[];
  /** False when the time ended before everything was worked out. */
  complete: boolean;
}
