// Records what happened at a slitter: sets cut from one roll of a released run, with everything that did not go as
// planned, and the end of the roll when it is reached. One transaction makes entries, movements, finished rolls with the
// map they inherit, what is left of the roll, the progress of run and orders. Nothing recorded is ever overwritten.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { type CutOut, cutSet, layPieces, type SetCut } from '../../domain/setCut.ts';
import { mmToM } from '../../domain/units.ts';
import { type Inherited, insertFinished, nextFinishedCodes, writeMap } from '../../store/finishedRolls.ts';
import { bookMovements, type Movement, openEntry } from '../../store/ledger.ts';
import { lockOrders, refreshOrders } from '../../store/orderProgress.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import { insertRecordings } from '../../store/recordings.ts';
import { addSetsCut, ordersOfRuns, type ReleasedRun, settleRelease } from '../../store/releases.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import { type EndOfRoll, endRollIn } from './endRoll.ts';
import { metresMade, rollsOfSet } from './finishedOfSet.ts';
import type { Act } from './releasePlan.ts';
import { type HeldRoll, lockRoll, refuseUnfit, refuseWrongRoll } from './rollAtMachine.ts';
import { type Exception, type RecordFault, recordFaults, stripsOfSet } from './setExceptions.ts';
import { refuseEnded, runsOf } from './withdrawRuns.ts';

export type { Exception, RecordFault } from './setExceptions.ts';

/** Metre counts begin at the roll's outer end as it was released. */
export interface SetsCut extends Act {
  roll: string;
  /** Sets cut now, one after the other from this roll; 0 with `end` for the end of the roll alone. */
  sets: number;
  /** Lost before the first of them: thread-up, or passed over. */
  passedMm: number;
  /** Lost after each. */
  tailMm: number;
  cutOuts: readonly CutOut[];
  exceptions: readonly Exception[];
  end?: EndOfRoll | undefined;
  today: string;
}

/**
 * Refuses with not-found, run-not-released, run-withdrawn, run-done, roll-not-of-run, roll-elsewhere, roll-off-machine,
 * roll-not-usable or roll-too-short.
 */
export async function recordSets(
  db: Knex,
  release: number,
  sequence: number,
  cut: SetsCut,
): Promise<Entered<RecordFault[]>> {
  const { by, requestKey, roll, cutOuts, exceptions } = cut;
  const kind = cut.sets > 0 ? 'cut' : 'roll finished';
  const details = { release, run: sequence, roll, cutOuts, exceptions };
  return enterOnce(db, { kind, by, requestKey, details }, (trx, entry) =>
    record(trx, entry, release, sequence, cut),
  );
}

async function record(
  trx: Knex,
  entry: number,
  release: number,
  sequence: number,
  cut: SetsCut,
): Promise<RecordFault[] | undefined> {
  const run = (await runsOf(trx, release)).find((one) => one.sequence === sequence);
  if (!run) throw new Refusal('run-not-released', { release, run: sequence });
  const faults = recordFaults(run, cut);
  if (faults.length > 0) return faults;
  if (cut.sets > 0) refuseEnded(run);
  await refuseWrongRoll(trx, run, cut.roll);
  const roll = await lockRoll(trx, release, cut.roll);
  refuseUnfit(roll, cut.today);
  const outside = outsideFaults(run, roll, cut);
  if (outside.length > 0) return outside;
  const orders = await ordersOfRuns(trx, release, [sequence]);
  await lockOrders(trx, orders);
  const left = cut.sets > 0 ? await bookSets(trx, run, roll, cut, entry) : roll;
  if (cut.end || left.lengthMm === 0)
    await endRollIn(trx, release, left, cut.end ?? { remainderMm: 0, keep: false, cause: undefined }, {
      by: cut.by,
      entry: cut.sets > 0 ? undefined : entry,
    });
  await refreshOrders(trx, orders);
  await settleRelease(trx, release);
  return undefined;
}

/** Books the sets, each under an entry of its own so that it can be undone alone. @returns what is left of the roll. */
async function bookSets(
  trx: Knex,
  run: ReleasedRun,
  roll: HeldRoll,
  cut: SetsCut,
  firstEntry: number,
): Promise<HeldRoll> {
  const [product] = await rowsByCode(trx, 'products', [run.product]);
  const from: Inherited = { lot: roll.lot, supplier: roll.supplier, useBy: roll.useBy, madeOn: cut.today };
  let now = roll;
  let good = 0;
  for (let set = 1; set <= cut.sets; set++) {
    const made = cutOne(run, now, cut, set);
    const entry = set === 1 ? firstEntry : await entryOfSet(trx, run, now, cut);
    await bookSet(trx, { run, roll: now, made, entry, from, maxSplices: Number(product?.maxSplices ?? 0) });
    if (made.made.length > 0) good += 1;
    now = { ...now, ...leftOf(now, made) };
  }
  await writeMap(trx, roll.code, now.places);
  if (good > 0) await addSetsCut(trx, run.release, run.sequence, good);
  return now;
}

async function entryOfSet(trx: Knex, run: ReleasedRun, roll: HeldRoll, cut: SetsCut): Promise<number> {
  const details = { release: run.release, run: run.sequence, roll: roll.code };
  return (await openEntry(trx, { kind: 'cut', by: cut.by, details })).id;
}

/** One set as it lay on the roll; `set` counts from 1 within this recording. */
function cutOne(run: ReleasedRun, roll: HeldRoll, cut: SetsCut, set: number): SetCut {
  return cutSet(roll, {
    passedMm: set === 1 ? cut.passedMm : 0,
    threadUp: roll.usedMm === 0,
    lengthMm: run.lengthMm,
    tailMm: cut.tailMm,
    cutOuts: fromHere(cut.cutOuts, roll.usedMm),
    strips: stripsOfSet(run.run, cut.exceptions, set),
  });
}

const fromHere = (cutOuts: readonly CutOut[], usedMm: number): CutOut[] =>
  cutOuts.map((one) => ({ ...one, fromMm: one.fromMm - usedMm, toMm: one.toMm - usedMm }));

function leftOf(roll: HeldRoll, made: SetCut) {
  const goneMg = sum(made.shares.map(({ massMg }) => massMg));
  return {
    lengthMm: roll.lengthMm - made.usedMm,
    massMg: roll.massMg === undefined ? undefined : roll.massMg - goneMg,
    places: made.left,
    usedMm: roll.usedMm + made.usedMm,
    costPerRoll:
      roll.costPerRoll === null ? null : (roll.costPerRoll * (roll.lengthMm - made.usedMm)) / roll.lengthMm,
  };
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** Cut-outs that no set of this recording meets were counted wrongly. Refuses with roll-too-short. */
function outsideFaults(run: ReleasedRun, roll: HeldRoll, cut: SetsCut): RecordFault[] {
  const cutOuts = fromHere(cut.cutOuts, roll.usedMm);
  let at = cut.sets > 0 ? cut.passedMm : 0;
  for (let set = 0; set < cut.sets; set++)
    at = layPieces({ passedMm: at, lengthMm: run.lengthMm, cutOuts }).endMm + cut.tailMm;
  if (at > roll.lengthMm)
    throw new Refusal('roll-too-short', { roll: roll.code, holdsM: mmToM(roll.lengthMm), takesM: mmToM(at) });
  const [low, high] = [mmToM(roll.usedMm), mmToM(roll.usedMm + at)];
  return cutOuts.flatMap(({ fromMm, toMm }, i) => {
    if (fromMm < at && toMm > 0 && fromMm >= 0) return [];
    const typed = cut.cutOuts[i] as CutOut;
    const wrong = `${mmToM(typed.fromMm)}-${mmToM(typed.toMm)} m does not lie in these sets`;
    return [{ field: 'cutOuts', wrong, right: `between ${low} and ${high} m on the counter` }];
  });
}

interface SetToBook {
  run: ReleasedRun;
  roll: HeldRoll;
  made: SetCut;
  entry: number;
  from: Inherited;
  maxSplices: number;
}

async function bookSet(trx: Knex, { run, roll, made, entry, from, maxSplices }: SetToBook): Promise<void> {
  const codes = await nextFinishedCodes(trx, made.made.length);
  const rolls = rollsOfSet({ run: run.run, roll, made: made.made, codes, maxSplices, entry });
  await insertFinished(trx, rolls, from);
  const movements: Movement[] = [
    ...made.shares.map((share) => ({
      roll: roll.code,
      side: share.side,
      cause: share.cause,
      lengthMm: -share.lengthMm,
      massMg: -share.massMg,
    })),
    ...metresMade(made.made, codes, roll.code),
  ];
  await bookMovements(trx, entry, movements);
  await insertRecordings(trx, [
    {
      entry,
      release: run.release,
      sequence: run.sequence,
      roll: roll.code,
      what: made.made.length > 0 ? 'set' : 'lost set',
      fromInnerMm: roll.lengthMm - made.usedMm,
      usedMm: made.usedMm,
      before: { places: roll.places, kind: roll.kind, status: roll.status },
    },
  ]);
}
