// The nouns of a coating record: as typed, what is wrong with it, and as it is to be written. Whole um and mm.
import type { LotChecks } from '../../domain/coatingForm.ts';
import type { LaidRun } from '../../domain/coatingRun.ts';
import type { Fault, Row } from '../../domain/resource.ts';
import type { Typed } from '../tables/rowInput.ts';

export interface TypedCoating {
  head: Typed;
  bases: readonly Typed[];
  losses: readonly Typed[];
  jumbos: readonly Typed[];
}

/** `list` and `place`: the row of a table of the form that it is about. */
export type CoatingFault = Fault & { list?: 'bases' | 'losses' | 'jumbos'; place?: number };

export interface BaseRoll {
  row: Row;
  takenMm: number;
}

export interface Jumbo {
  /** Null: the next number. */
  code: string | null;
  lengthMm: number;
  weighedKg: number | null;
}

export interface ReadCoating {
  product: Row;
  head: Row;
  checks: LotChecks;
  /** Checks outside their limits, in words. */
  outside: string[];
  dryGPerM2: number;
  edgesUm: { left: number; right: number };
  widthUm: number;
  bases: BaseRoll[];
  jumbos: Jumbo[];
  run: LaidRun;
}

export interface TableRow {
  place: number;
  given: Row;
}
