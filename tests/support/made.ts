// Rolls made of rolls, through the ledger, for tests of what comes after the machine: coated film of base film, finished
// rolls of coated rolls. What the parent gives weighs what the children weigh, as everywhere.
import type { Knex } from 'knex';
import { bookMovements, openEntry } from '../../src/store/ledger.ts';

export interface Child {
  code: string;
  kind: 'coated' | 'finished';
  item: string;
  widthUm: number;
  lengthMm: number;
  massMg: number;
  lot?: string;
  order?: string;
  status?: 'released' | 'on hold';
}

/** One entry: `parent` gives the longest child's length and all their mass. @returns the entry. */
export async function makeOf(db: Knex, parent: string, children: readonly Child[]): Promise<number> {
  return db.transaction(async (trx) => {
    const coated = children.every(({ kind }) => kind === 'coated');
    const { id } = await openEntry(trx, { kind: coated ? 'coated' : 'cut', by: 'test' });
    for (const { code, kind, item, widthUm, lot, order, status = 'released' } of children) {
      const row = {
        code,
        kind,
        item,
        width_um: widthUm,
        length_mm: 0,
        lot,
        order_line: order ?? null,
        status,
      };
      await trx('rolls').insert(row);
      await trx('status_changes').insert({ entry: id, roll: code, becomes: status });
    }
    await bookMovements(trx, id, [
      {
        roll: parent,
        side: 'out',
        cause: coated ? 'coated' : 'cut',
        lengthMm: -Math.max(...children.map(({ lengthMm }) => lengthMm)),
        massMg: -children.reduce((sum, { massMg }) => sum + massMg, 0),
      },
      ...children.map(({ code, lengthMm, massMg }) => ({
        roll: code,
        side: 'in' as const,
        cause: 'made',
        lengthMm,
        massMg,
        madeOf: parent,
      })),
    ]);
    return id;
  });
}
