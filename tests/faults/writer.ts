// A program that the fault tests kill: opens the embedded database in the folder it is given, writes customers one
// after the other, and prints each number only when the database has acknowledged it. Errors while the server is
// away are waited out; a number is tried until it is acknowledged.

import { readSettings } from '../../src/settings.ts';
import { openDatabase } from '../../src/store/database.ts';

const [folder, prefix, most] = process.argv.slice(2) as [string, string, string];
const settings = readSettings({ LANEWRIGHT_DATA: folder }, []);
try {
  const { db, close } = await openDatabase(settings, (error) => {
    console.error(error);
    process.exit(3);
  });
  console.log('open');
  for (let number = 0; number < Number(most); number += 1) {
    const row = { code: `${prefix}-${number}`, name: 'written under fire' };
    for (;;) {
      try {
        await db('customers').insert(row).onConflict('code').ignore();
        break;
      } catch {
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
    }
    console.log(number);
  }
  await close();
} catch (error) {
  console.error((error as Error).message);
  process.exit(1);
}
