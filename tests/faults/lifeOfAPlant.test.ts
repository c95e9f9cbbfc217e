// Several people live a random life with one plant at once, and after every step each metre is accounted for: the audit
// finds nothing, no metre was cut twice, no roll lies in two hands, orders count exactly their good finished rolls, and
// each roll that was made leads back to film that came in.
// LANEWRIGHT_MANY=3000: so many acts instead of some hundreds; LANEWRIGHT_FROM: another seed.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { storePlanOf } from '../support/machine.ts';
import { brokenFamilies, doubleUse } from '../support/plantFacts.ts';
import { PlantLife } from '../support/plantLife.ts';

const TODAY = '2027-03-01' as IsoDate;
const PEOPLE = 4;
const ACTS = Number(process.env.LANEWRIGHT_MANY ?? 240);
const SEED = Number(process.env.LANEWRIGHT_FROM ?? 20_27);

describe('the life of a plant', () => {
  let db: Knex;
  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, TODAY);
    for (const orders of [['SO-4101', 'SO-4102'], ['SO-4103'], ['SO-4137']])
      await storePlanOf(db, TODAY, orders, 1);
  }, 120_000);

  it(
    `keeps every metre through ${ACTS} acts of ${PEOPLE} people at once`,
    async () => {
      const life = new PlantLife(db, TODAY, SEED);
      const pick = seededRandom(SEED);
      for (let act = 0; act < ACTS; act += PEOPLE) {
        await Promise.all(Array.from({ length: PEOPLE }, () => life.act()));
        const audit = await auditStock(db, 3);
        const found = audit.rules.flatMap(({ name, faults }) =>
          faults.map(({ words }) => `${name}: ${words}`),
        );
        const double = await doubleUse(db);
        const families = await brokenFamilies(db, pick());
        expect({ act, found, double, families }).toEqual({ act, found: [], double: [], families: [] });
      }
      const done = Object.fromEntries([...life.tally].map(([kind, counts]) => [kind, counts.done]));
      for (const kind of [
        'record',
        'pack',
        'decide',
        'plan',
        'release',
        'dispatch',
        'return',
        'undo',
        'receive',
        'coat',
        'map',
        'shorten',
      ])
        expect(done[kind], `${kind} in ${JSON.stringify([...life.tally])}`).toBeGreaterThan(0);
    },
    60_000 + ACTS * 1000,
  );
});
