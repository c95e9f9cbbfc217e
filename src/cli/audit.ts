// `npm run audit`: proves over the whole database that no metre and no gram is lost or double, while the program runs
// on it or not. Prints what it looked at and every fault with its roll and entry.
// Exit 0: no fault. Exit 1: faults, or the database cannot be looked at.
import { Refusal } from '../domain/refusal.ts';
import { readSettings } from '../settings.ts';
import { auditFromOutside } from '../usecases/afterwards/auditFromOutside.ts';
import { auditReport } from './auditReport.ts';

const USAGE = `usage: npm run audit [-- --help]

Looks at the database of DATABASE_URL or LANEWRIGHT_DATA, as npm start does; changes nothing.
Exit 0: no fault; 1: faults, or the database cannot be looked at.
`;
/** Faults of one rule that are spelt out; more are only counted. */
const MOST_FAULTS = 10_000;

async function run(options: string[]): Promise<number> {
  if (options.includes('--help')) {
    process.stdout.write(USAGE);
    return 0;
  }
  const start = performance.now();
  const { where, audit } = await auditFromOutside(readSettings(process.env, options), MOST_FAULTS);
  process.stdout.write(auditReport(audit, where, (performance.now() - start) / 1000));
  return audit.faults === 0 ? 0 : 1;
}

run(process.argv.slice(2)).then(
  (code) => {
    process.exitCode = code;
  },
  (error) => {
    console.error(error instanceof Refusal ? error.message : error);
    process.exitCode = 1;
  },
);
