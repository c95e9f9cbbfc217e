// A small past for the demo plant: film received and released, coated, planned, slit, packed and sent, through the same
// doors as in the plant, so that ledger, families, labels and yield have something to show. All of it is invented; each
// entry bears the day on which it would have happened.
import type { Knex } from 'knex';
import type { Run } from '../domain/plan.ts';
import { RESOURCES } from '../domain/resources.ts';
import { addDays, type IsoDate } from '../domain/units.ts';
import { enteredAt } from '../store/ledger.ts';
import { insertFinishedPlan } from '../store/plans.ts';
import { movementsOf } from '../store/recordings.ts';
import { recordCoating } from './coating/recordCoating.ts';
import type { Entered } from './enterOnce.ts';
import { recordSets } from './machine/recordSets.ts';
import { releasePlan } from './machine/releasePlan.ts';
import { buildProblem } from './planning/buildProblem.ts';
import { makePlan } from './planning/makePlan.ts';
import { receiveRolls } from './receiving/receiveRolls.ts';
import { decideOnRoll } from './rolls/decideOnRoll.ts';
import { seedDemo } from './seedDemo.ts';
import { dispatchPackages } from './sending/dispatchPackages.ts';
import { packRolls } from './sending/packRolls.ts';
import { orderToPack } from './sending/readSending.ts';
import { saveRow } from './tables/saveRow.ts';

const PRODUCT = 'CP-10';
const GRADE = 'BF-01';
/** 1050 mm x 2000 m of 4.5 um at 1.395 g/cm3 are 13.18 kg. */
const ROLL_LIST = 'roll;mass (kg)\nOV-88121;13.2\nOV-88122;13.17\n';
const ORDERS = [
  { code: 'SO-3991', customer: 'C-01', widthMm: '110', rolls: '60' },
  { code: 'SO-3992', customer: 'C-02', widthMm: '83', rolls: '40' },
];
const PLAN_SECONDS = 1;
const THREAD_UP_MM = 34_000;
const TAIL_MM = 1500;
const OPEN_PACKAGE_ROLLS = 24;
const STORES = 'Stores (demo)';
const COATER = 'Coater (demo)';
const SLITTER = 'Slitter (demo)';
const DISPATCH = 'Dispatch (demo)';

/** Days before today. The newest roll of the demo came six days ago. */
const DAYS_AGO = { stock: 6, received: 5, coated: 4, released: 3, slit: 2, packed: 1 };

/** The demo plant with its past. False, and nothing done, when the database holds anything. */
export async function seedPlant(db: Knex, today: IsoDate, companyPrefix: string): Promise<boolean> {
  const seeded = await on(today, DAYS_AGO.stock, () => seedDemo(db, today));
  if (seeded) await seedPast(db, today, companyPrefix);
  return seeded;
}

/** Call it once, right after seedDemo has filled an empty database. */
export async function seedPast(db: Knex, today: IsoDate, companyPrefix: string): Promise<void> {
  const film = await on(today, DAYS_AGO.received, (day) => receive(db, day));
  const coated = await on(today, DAYS_AGO.coated, (day) => coat(db, day, film));
  await takeOrders(db, today);
  const { release, runs } = await on(today, DAYS_AGO.released, (day) => planAndRelease(db, day, coated));
  await on(today, DAYS_AGO.slit, async (day) => {
    const threaded = new Set<string>();
    for (const run of runs) await slit(db, day, release, run, threaded);
  });
  await on(today, DAYS_AGO.packed, (day) => packAndSend(db, day, companyPrefix));
}

/** Does what happened that many days ago; its entries bear that day. */
function on<T>(today: IsoDate, daysAgo: number, work: (day: IsoDate) => Promise<T>): Promise<T> {
  const day = addDays(today, -daysAgo);
  return enteredAt(new Date(`${day}T09:00:00Z`), () => work(day));
}

/** What a use case entered, or the fault of this seed. */
function entryOf<F>(what: string, entered: Entered<F>): number {
  if (!entered.ok) throw new Error(`the demo's past is faulty, ${what}: ${JSON.stringify(entered.faults)}`);
  return entered.entry;
}

/** Rolls that came in by an entry. */
async function madeBy(db: Knex, entry: number): Promise<string[]> {
  const came = (await movementsOf(db, [entry])).filter(({ side }) => side === 'in');
  return [...new Set(came.map(({ roll }) => roll))];
}

async function receive(db: Knex, today: IsoDate): Promise<string[]> {
  const head = {
    supplier: 'S1',
    deliveryNote: 'OV-5517',
    receivedOn: today,
    numbers: 'our next numbers',
    tolerancePct: '2',
    item: GRADE,
    widthUm: '1050',
    lengthMm: '2000',
    coreInsideUm: '152.4',
    lot: 'OV-2207',
    location: 'A1-2',
    pricePerKg: '9.80',
  };
  const who = { by: STORES, requestKey: 'demo-past-received', mode: 'all' as const, confirmed: [] };
  const entry = entryOf('receiving', await receiveRolls(db, { head, list: ROLL_LIST }, who));
  const film = await madeBy(db, entry);
  for (const roll of film) {
    const typed = { reason: 'width, treatment and wind checked' };
    const how = { by: STORES, requestKey: `demo-past-released-${roll}`, today };
    entryOf('release', await decideOnRoll(db, { roll, decision: 'release', typed, ...how }));
  }
  return film;
}

async function coat(db: Knex, today: IsoDate, film: readonly string[]): Promise<string[]> {
  const head = {
    product: PRODUCT,
    coatedOn: today,
    lot: 'COAT-0412',
    status: 'released',
    location: 'C1-1',
    viscosity: '310',
    viscosityMin: '280',
    viscosityMax: '340',
    viscosityUnit: 'mPa s',
    solidsPct: '100',
    solidsMinPct: '99',
    solidsMaxPct: '100',
  };
  const coated: string[] = [];
  for (const roll of film) {
    const typed = {
      head,
      bases: [{ roll, takenMm: '' }],
      losses: [],
      jumbos: [{ code: '', madeMm: '', massKg: '' }],
    };
    const how = { by: COATER, requestKey: `demo-past-coated-${roll}`, today };
    coated.push(...(await madeBy(db, entryOf('coating', await recordCoating(db, typed, how)))));
  }
  return coated;
}

async function takeOrders(db: Knex, today: IsoDate): Promise<void> {
  for (const { code, customer, widthMm, rolls } of ORDERS) {
    const saved = await saveRow(db, RESOURCES.orders, {
      code,
      customer,
      product: PRODUCT,
      widthUm: widthMm,
      lengthMm: '300',
      rolls,
      overPct: '10',
      underPct: '10',
      dueOn: addDays(today, 1),
    });
    if (!saved.ok) throw new Error(`the demo's past is faulty, orders: ${JSON.stringify(saved.faults)}`);
  }
}

/** Plans the orders from what was coated alone, and releases the plan. */
async function planAndRelease(db: Knex, today: IsoDate, coated: readonly string[]) {
  const orders = ORDERS.map(({ code }) => code);
  const whole = await buildProblem(db, { orders, planOn: today });
  const problem = { ...whole, offers: [], rolls: whole.rolls?.filter(({ id }) => coated.includes(id)) ?? [] };
  const start = performance.now();
  const secondsLeft = () => PLAN_SECONDS - (performance.now() - start) / 1000;
  const made = makePlan(problem, { secondsLeft, report: () => {} });
  if (!made.ok) throw new Error(`the demo's past cannot be planned: ${JSON.stringify(made.faults)}`);
  const { plan } = made;
  const stored = { title: PRODUCT, products: [PRODUCT], problem, secondsLimit: PLAN_SECONDS, plan };
  const id = await insertFinishedPlan(db, stored);
  const how = { by: SLITTER, requestKey: 'demo-past-at-machine', runs: 'all' as const, today };
  const released = await releasePlan(db, id, how);
  if (!released.ok) throw new Error(`the demo's past cannot be released: ${JSON.stringify(released.faults)}`);
  return { release: released.id, runs: plan.runs };
}

/** Every set as planned but one: a strip of the first run has wrinkles. Threading up takes a little more than planned. */
async function slit(
  db: Knex,
  today: IsoDate,
  release: number,
  run: Run,
  threaded: Set<string>,
): Promise<void> {
  const wound = run.strips.findIndex(({ waste }) => !waste) + 1;
  const wrinkles = { set: 1, strip: wound, what: 'scrap' as const, cause: 'wrinkles' };
  for (const { roll, sets } of run.from) {
    const cut = {
      by: SLITTER,
      requestKey: `demo-past-cut-${run.sequence}-${roll}`,
      roll,
      sets,
      passedMm: threaded.has(roll) ? 0 : THREAD_UP_MM,
      tailMm: TAIL_MM,
      cutOuts: [],
      exceptions: threaded.size === 0 ? [wrinkles] : [],
      today,
    };
    threaded.add(roll);
    entryOf('slitting', await recordSets(db, release, run.sequence, cut));
  }
}

/** One order leaves whole; of the other a package stands open and the rest waits. */
async function packAndSend(db: Knex, today: IsoDate, companyPrefix: string): Promise<void> {
  const [first, second] = ORDERS.map(({ code }) => code) as [string, string];
  const pack = async (order: string, most: number) => {
    const { rolls, order: sending } = await orderToPack(db, order);
    const chosen = rolls.slice(0, Math.min(most, sending.room)).map(({ code }) => code);
    const how = {
      by: DISPATCH,
      requestKey: `demo-past-packed-${order}`,
      into: undefined,
      companyPrefix,
      today,
    };
    return packRolls(db, { ...how, order, rolls: chosen });
  };
  const packages = [await pack(first, Number.POSITIVE_INFINITY)];
  await pack(second, OPEN_PACKAGE_ROLLS);
  const how = { by: DISPATCH, requestKey: 'demo-past-sent', packages, shortIsRight: true, today };
  entryOf('dispatch', await dispatchPackages(db, how));
}
