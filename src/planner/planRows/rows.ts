// The list of limits across patterns. A new one is a file beside this and a line here.
import { demandMet } from './demandMet.ts';
import { demandNotExceeded } from './demandNotExceeded.ts';
import { minimumOrder } from './minimumOrder.ts';
import type { PlanRowMaker } from './row.ts';
import { slotsProvided } from './slotsProvided.ts';
import { stockNotExceeded } from './stockNotExceeded.ts';

export const planRows: PlanRowMaker[] = [
  demandMet,
  demandNotExceeded,
  stockNotExceeded,
  minimumOrder,
  slotsProvided,
];
