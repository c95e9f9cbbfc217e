// A plant with a long past, written by set-based SQL with the database's triggers asleep: lots of 10 base rolls (one of
// 100), 4 coated rolls of each, 7 sets of 7 strips of each: 1,005,000 rolls, 2.1 million movements, every balance right.
// The plant is invented: film of 20 g/m2, base rolls 1050 mm x 18,000 m, finished rolls 140 mm x 600 m.
import type { Knex } from 'knex';

const LOTS = 500;
/** So many lots' rolls are one lot. */
const LARGE = 10;
const ROLLS_OF_LOT = 10;
const COATED_OF_BASE = 4;
const SETS = 7;
const STRIPS = 7;
const ORDERS = 20_000;
const CUSTOMERS = 200;
const BASE = LOTS * ROLLS_OF_LOT;
const COATED = BASE * COATED_OF_BASE;
const OF_COATED = SETS * STRIPS;
/** Four of five finished rolls are dispatched. */
const SENT = (k: string) => `${k} % 5 <> 0`;
const ONE_ENTRY = 1;
const COATING = 2;
/** The entry before the first set's. */
const SET_0 = 2;
const DISPATCH = SET_0 + COATED * SETS + 1;

const BASE_MM = 18_000_000;
const COATED_MM = 4_400_000;
const SET_MM = 600_000;
const LEAD_IN_MM = 30_000;
const [BASE_MG, COATED_MG, STRIP_MG, TRIM_MG, LEAD_IN_MG] = [
  378_000_000, 92_400_000, 1_680_000, 840_000, 630_000,
];

export const FINISHED = COATED * OF_COATED;
/** Ten times as large as the others: 100 base rolls, 19,600 finished rolls. */
export const LARGE_LOT = 'LOT-00001';
export const USUAL_LOT = 'LOT-00007';

const base = (i: string) => `'B' || lpad((${i})::text, 7, '0')`;
const coated = (j: string) => `'C' || lpad((${j})::text, 7, '0')`;
const finished = (k: string) => `'F' || lpad((${k})::text, 7, '0')`;
const upTo = (n: number, name: string) => `generate_series(1, ${n}) as ${name}`;

/** Fills an empty database; takes about a minute. */
export async function fillMillionRolls(db: Knex): Promise<void> {
  await db.transaction(async (trx) => {
    await trx.raw('set local session_replication_role = replica');
    for (const statement of [...PEOPLE, ...ROLLS, ...ENTRIES, ...MOVEMENTS]) await trx.raw(statement);
  });
  await db.raw('vacuum analyze');
}

const PEOPLE = [
  "insert into suppliers (code, name) values ('S1', 'Invented film mill')",
  "insert into grades (code, polymer, thickness_um, density_g_per_cm3) values ('BF-1', 'PET', 12, 1.395)",
  "insert into products (code, name) values ('CP-1', 'Invented coated film')",
  `insert into customers (code, name) select 'K' || i, 'Invented customer ' || i from ${upTo(CUSTOMERS, 'i')}`,
  `insert into order_lines (code, customer, product, width_um, length_mm, rolls)
     select 'SO-' || i, 'K' || (i % ${CUSTOMERS} + 1), 'CP-1', 140000, ${SET_MM}, 49 from ${upTo(ORDERS, 'i')}`,
];

const COLUMNS =
  'code, kind, item, width_um, length_mm, mass_kg, lot, status, received_on, supplier, order_line';
const ROLLS = [
  `insert into rolls (${COLUMNS}) select ${base('i')}, 'base', 'BF-1', 1050000, 0, 0,
     'LOT-' || lpad(greatest(1, (i - 1) / ${ROLLS_OF_LOT} + 2 - ${LARGE})::text, 5, '0'), 'used up', date '2026-01-01' + i / 20, 'S1', null
   from ${upTo(BASE, 'i')}`,
  `insert into rolls (${COLUMNS}) select ${coated('j')}, 'coated', 'CP-1', 1050000,
     ${COATED_MM - LEAD_IN_MM - SETS * SET_MM},
     ${(COATED_MG - LEAD_IN_MG - SETS * (STRIPS * STRIP_MG + TRIM_MG)) / 1e6}, 'COAT-' || ((j - 1) / 8 + 1), 'released',
     null, null, null from ${upTo(COATED, 'j')}`,
  `insert into rolls (${COLUMNS}) select ${finished('k')}, 'finished', 'CP-1', 140000,
     case when ${SENT('k')} then 0 else ${SET_MM} end, case when ${SENT('k')} then 0 else ${STRIP_MG / 1e6} end, 'COAT-' || ((k - 1) / ${OF_COATED * 8} + 1),
     case when ${SENT('k')} then 'dispatched' else 'released' end, null, null, 'SO-' || (k / 49 % ${ORDERS} + 1)
   from ${upTo(FINISHED, 'k')}`,
];

/** One entry for what was received, one for coating, one for dispatch, and one for each set. */
const ENTRIES = [
  `insert into entries (kind, by_whom) values ('received', 'bench'), ('coated', 'bench')`,
  `insert into entries (kind, by_whom) select 'cut', 'bench' from ${upTo(COATED * SETS, 's')}`,
  "insert into entries (kind, by_whom) values ('dispatched', 'bench')",
  `insert into status_changes (entry, roll, becomes) select ${ONE_ENTRY}, code, 'released' from rolls`,
  `insert into status_changes (entry, roll, was, becomes)
     select case kind when 'base' then ${COATING} else ${DISPATCH} end, code, 'released', status from rolls
     where status in ('used up', 'dispatched')`,
];

const MOVED = 'insert into movements (entry, roll, side, cause, length_mm, mass_mg, made_of)';
const entryOfSet = `${SET_0} + (k - 1) / ${STRIPS} + 1`;
const MOVEMENTS = [
  `${MOVED} select ${ONE_ENTRY}, ${base('i')}, 'in', 'received', ${BASE_MM}, ${BASE_MG}, null from ${upTo(BASE, 'i')}`,
  `${MOVED} select ${COATING}, ${base(`(j - 1) / ${COATED_OF_BASE} + 1`)}, 'out', 'coated', -${COATED_MM}, -${COATED_MG}, null
   from ${upTo(COATED, 'j')}`,
  `${MOVED} select ${COATING}, ${base('i')}, 'loss', 'stub', ${COATED_OF_BASE * COATED_MM - BASE_MM},
     ${COATED_OF_BASE * COATED_MG - BASE_MG}, null from ${upTo(BASE, 'i')}`,
  `${MOVED} select ${COATING}, ${coated('j')}, 'in', 'made', ${COATED_MM}, ${COATED_MG},
     ${base(`(j - 1) / ${COATED_OF_BASE} + 1`)} from ${upTo(COATED, 'j')}`,
  `${MOVED} select ${SET_0} + (j - 1) * ${SETS} + 1, ${coated('j')}, 'loss', 'lead-in', -${LEAD_IN_MM}, -${LEAD_IN_MG}, null
   from ${upTo(COATED, 'j')}`,
  ...[
    [`'out', 'cut', -${SET_MM}`, STRIPS * STRIP_MG],
    [`'loss', 'edge trim', 0`, TRIM_MG],
  ].map(
    ([what, mg]) => `${MOVED} select ${SET_0} + s, ${coated(`(s - 1) / ${SETS} + 1`)}, ${what}, -${mg}, null
   from ${upTo(COATED * SETS, 's')}`,
  ),
  `${MOVED} select ${entryOfSet}, ${finished('k')}, 'in', 'made', ${SET_MM}, ${STRIP_MG},
     ${coated(`(k - 1) / ${OF_COATED} + 1`)} from ${upTo(FINISHED, 'k')}`,
  `${MOVED} select ${DISPATCH}, ${finished('k')}, 'out', 'dispatched', -${SET_MM}, -${STRIP_MG}, null
   from ${upTo(FINISHED, 'k')} where ${SENT('k')}`,
];
