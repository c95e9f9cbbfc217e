// Concessions on rolls. One at most is in force on a roll; it holds the use-by day that it replaced.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';

export interface Concession {
  entry: number;
  roll: string;
  approver: string;
  until: IsoDate;
  test: string | null;
  useByBefore: IsoDate | null;
}

/** The concession in force on a roll. */
export async function concessionOn(db: Knex, roll: string): Promise<Concession | undefined> {
  return db('concessions').where({ roll }).whereNull('ended_by').first({
    entry: 'entry',
    roll: 'roll',
    approver: 'approver',
    until: 'until',
    test: 'test',
    useByBefore: 'use_by_before',
  });
}

/** Puts it in force: the roll's use-by day becomes the day until which it is given. */
export async function insertConcession(trx: Knex, given: Concession): Promise<void> {
  await trx('concessions').insert({
    entry: given.entry,
    roll: given.roll,
    approver: given.approver,
    until: given.until,
    test: given.test,
    use_by_before: given.useByBefore,
  });
  await trx('rolls').where('code', given.roll).update({ use_by: given.until });
}

/** Ends it, and gives the roll the use-by day back that it had before. */
export async function endConcession(trx: Knex, given: Concession, endedBy: number): Promise<void> {
  await trx('concessions').where('entry', given.entry).update({ ended_by: endedBy });
  await trx('rolls').where('code', given.roll).update({ use_by: given.useByBefore });
}
