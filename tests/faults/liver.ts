// A program that the fault tests kill in the middle of work: opens the embedded database in the folder it is given and
// lets several people live a random life there (support/plantLife.ts). It prints "begins" with the kind of each act, then
// the key of its form when somebody has been told that it is entered, and goes on when the server was away.
import type { IsoDate } from '../../src/domain/units.ts';
import { readSettings } from '../../src/settings.ts';
import { openDatabase } from '../../src/store/database.ts';
import { PlantLife } from '../support/plantLife.ts';

const PEOPLE = 4;

const [folder, seed] = process.argv.slice(2) as [string, string];
const { db } = await openDatabase(readSettings({ LANEWRIGHT_DATA: folder }, []), (error) => {
  console.error(error);
  process.exit(3);
});
const life = new PlantLife(db, '2027-03-01' as IsoDate, Number(seed), {
  begins: (kind) => console.log(`begins ${kind}`),
  told: (key) => console.log(key),
});
console.log('open');
for (;;) {
  const acts = await Promise.allSettled(Array.from({ length: PEOPLE }, () => life.act()));
  const away = acts.filter((act) => act.status === 'rejected');
  for (const act of away) console.error(String(act.reason).slice(0, 200));
  if (away.length > 0) await new Promise((resolve) => setTimeout(resolve, 50));
}
