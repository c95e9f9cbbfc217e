// Puts the demo plant into an empty database, through the same checks that everything typed or imported passes.
import type { Knex } from 'knex';
import { demoPlant } from '../../seed/demoPlant.ts';
import type { Resource, Row } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import type { IsoDate } from '../domain/units.ts';
import { lockForSeeding, upsertRows } from '../store/rows.ts';
import { isEmpty } from '../store/tables.ts';
import { beforeWriting, bookWritten } from './tables/bookWritten.ts';
import { crossCheck } from './tables/crossChecks.ts';
import { checkTogether, completeRow } from './tables/rowInput.ts';

/** True when the demo was stored; false, and nothing done, when any table holds anything. Dates count from `today`. */
export async function seedDemo(db: Knex, today: IsoDate): Promise<boolean> {
  return db.transaction(async (trx) => {
    await lockForSeeding(trx);
    if (!(await isEmpty(trx, Object.values(RESOURCES)))) return false;
    const plant = demoPlant(today);
    for (const resource of Object.values(RESOURCES)) await storeAll(trx, resource, plant[resource.name]);
    return true;
  });
}

async function storeAll(trx: Knex, resource: Resource, given: readonly Row[]): Promise<void> {
  const whole = given.map((row) => completeRow(resource, row));
  const rows = whole.map(({ row }) => row);
  const crossed = await crossCheck(trx, resource, rows);
  const faults = [
    ...whole.flatMap((one) => one.faults),
    ...rows.flatMap((row) => checkTogether(resource, row)),
    ...crossed.flat(),
  ];
  if (faults.length > 0) throw new Error(`the demo plant is faulty: ${JSON.stringify(faults)}`);
  await beforeWriting(trx, resource);
  await upsertRows(trx, resource, rows);
  await bookWritten(trx, resource, rows, { by: 'Lanewright', how: 'the invented demo plant' });
}
