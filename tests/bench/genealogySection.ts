// Genealogy and audit of a plant with a million rolls: each question asked several times on a database made for it.
// Times are wall clock with the answer in hand, the middle one of the repetitions; other work on the machine adds to them.
import type { Knex } from 'knex';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { familyOfLot, familyOfRoll } from '../../src/usecases/rolls/readFamily.ts';
import { FINISHED, fillMillionRolls, LARGE_LOT, USUAL_LOT } from './millionRolls.ts';
import { onScratchDatabase } from './scratchDatabase.ts';

const REPEATS = 7;
const ASKED = { page: 1, pageSize: 50 };

export function benchGenealogy(): Promise<void> {
  return onScratchDatabase(async (db) => {
    console.log('filling a database with a million rolls ...');
    const start = performance.now();
    await fillMillionRolls(db);
    console.log(`filled in ${((performance.now() - start) / 1000).toFixed(0)} s`);
    await measure(db);
  });
}

async function measure(db: Knex): Promise<void> {
  const middle = `F${String(FINISHED / 2).padStart(7, '0')}`;
  await timed(`back from finished roll ${middle} to the supplier's lot`, () =>
    familyOfRoll(db, middle, ASKED),
  );
  for (const lot of [USUAL_LOT, LARGE_LOT]) {
    const family = await familyOfLot(db, lot, ASKED);
    const rolls = family?.finished.parents.reduce((sum, { rolls }) => sum + rolls, 0);
    await timed(`forward from ${lot} to ${rolls} finished rolls, their orders and customers`, () =>
      familyOfLot(db, lot, ASKED),
    );
    const order = family?.finished.orders[0]?.order ?? '';
    await timed(`the same with the single rolls of one order`, () =>
      familyOfLot(db, lot, { ...ASKED, order }),
    );
  }
  await timed('audit of everything', () => auditStock(db, 100), 1);
}

async function timed(what: string, ask: () => Promise<unknown>, repeats = REPEATS): Promise<void> {
  const times: number[] = [];
  for (let i = 0; i < repeats; i += 1) {
    const start = performance.now();
    const answer = await ask();
    if (answer === undefined) throw new Error(`nothing was found: ${what}`);
    times.push(performance.now() - start);
  }
  const sorted = times.toSorted((a, b) => a - b);
  const [middle, longest] = [sorted[Math.floor(repeats / 2)] as number, sorted.at(-1) as number];
  console.log(`${what}: ${middle.toFixed(0)} ms (longest of ${repeats}: ${longest.toFixed(0)} ms)`);
}
