// What a limit ACROSS patterns says to the master problem: its rows, and with what coefficients a strip, a set, a
// roll, a slot along a roll or a short roll enters them. A column's entries are the sums of these, so pricing can
// read the worth of a strip or a slot straight from the duals.
import type { Model } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import type { Entry, LpRow } from '../solvers/lp.ts';

export interface PlanRows {
  rows: LpRow[];
  /** Entries of one strip cut for this demand. */
  ofStrip?(demand: number): Entry[];
  /** Entries of one set cut at this site. */
  ofSet?(site: number): Entry[];
  /** Entries of one roll used by this source. */
  ofRoll?(source: number): Entry[];
  /** Entries of one slot, for this site, on a roll. */
  ofSlot?(site: number): Entry[];
  /** Entries of one roll that this demand falls short. */
  ofShort?(demand: number): Entry[];
  /** Entries of film bought of this offer, unused, as much as its minimum order. */
  ofExtra?(offer: number): Entry[];
}

/** Makes the rows for what remains to be planned; row numbers start at `first`. */
export type PlanRowMaker = (model: Model, remaining: Remaining, first: number) => PlanRows;
