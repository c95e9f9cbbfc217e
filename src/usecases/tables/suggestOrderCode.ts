// A code for the next order line, to be typed over: one above the largest SO-number there is.
import type { Knex } from 'knex';
import { largestOrderNumber } from '../../store/promises.ts';

export const suggestOrderCode = async (db: Knex): Promise<string> =>
  `SO-${(await largestOrderNumber(db)) + 1}`;
