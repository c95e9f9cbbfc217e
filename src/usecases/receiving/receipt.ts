// The nouns of a goods receipt: as typed, and as it was read, roll by roll. Whole um and mm.
import type { Fault, Row } from '../../domain/resource.ts';
import type { OrderProgress } from '../../store/purchaseOrders.ts';
import type { Delimiter } from '../csv/readTable.ts';
import type { Typed } from '../tables/rowInput.ts';

export interface TypedReceipt {
  head: Typed;
  /** The supplier's roll list, one roll a line. */
  list: string;
}

/** One roll of the list. */
export interface ReadRoll {
  /** Its row in the list. */
  number: number;
  supplierRoll: string;
  /** A row of rolls in inner units; without its code when it gets our next number. */
  row: Row;
  /** What only the receipt keeps. */
  diameterUm: number | null;
  coreOutsideUm: number | null;
  /** The line of the purchase order that it fills. */
  line: number | null;
  faults: Fault[];
  /** What is odd; it has to be confirmed or corrected. */
  warnings: string[];
}

export interface ReadReceipt {
  /** In inner units, by field name. */
  head: Row;
  order: OrderProgress | undefined;
  /** What is wrong with the head of the receipt or with the list as a whole. */
  faults: Fault[];
  rolls: ReadRoll[];
  read: { delimiter: Delimiter; decimal: string };
}
