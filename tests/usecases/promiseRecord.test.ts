// Promised against actual: the record of a promise from the day it is made to the day on which its last roll left.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { readPromises } from '../../src/usecases/sales/readPromises.ts';
import { dispatchPackages } from '../../src/usecases/sending/dispatchPackages.ts';
import { packRolls } from '../../src/usecases/sending/packRolls.ts';
import { freshDatabase } from '../support/database.ts';
import { ask, promise, SALES_DAY } from '../support/sales.ts';
import { PREFIX, sendingPlant } from '../support/sending.ts';

let db: Knex;
let ledgerDay: string;
beforeAll(async () => {
  db = await freshDatabase();
  const { parent } = await sendingPlant(db);
  const { item: product } = await db('rolls').where({ code: parent }).first('item');
  const { id, answer } = await ask(db, { product, widthUm: 50_000, rolls: 1, dueOn: '2027-03-05' });
  expect(answer).toMatchObject({ verdict: 'finished', fromShelf: ['X1'] });
  await promise(db, id, { order: 'SO-9001' });
  ledgerDay = (await db.raw('select now()::date::text as day')).rows[0].day;
}, 60_000);
const line = async () => (await readPromises(db, SALES_DAY)).lines.find(({ order }) => order === 'SO-9001');

describe('the record of a promise', () => {
  it('has the day promised and the day on which enough was made, and no day of dispatch before it leaves', async () => {
    expect(await line()).toMatchObject({
      promisedOn: '2027-03-05',
      madeOn: ledgerDay,
      dispatchedOn: null,
      status: 'made',
    });
  });

  it('has the day on which the last roll left, which its customer is counted by', async () => {
    const who = { by: 'Pia', today: SALES_DAY };
    const sscc = await packRolls(db, {
      ...who,
      ...{ order: 'SO-9001', rolls: ['X1'], into: undefined, companyPrefix: PREFIX },
    });
    expect((await line())?.dispatchedOn).toBeNull();
    await dispatchPackages(db, { ...who, packages: [sscc], shortIsRight: false });
    expect(await line()).toMatchObject({ dispatchedOn: ledgerDay, status: 'done' });
    const { customers } = await readPromises(db, SALES_DAY);
    expect(customers).toMatchObject([{ customer: 'C-01', promised: 1, made: 1, inTime: 1, overdue: 0 }]);
  });
});
