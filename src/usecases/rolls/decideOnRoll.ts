// Releases a roll, holds it, releases it with a concession or takes that back: one entry with who and why. What the roll
// does not allow is refused; what was typed wrongly comes back by field.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { type Fault, fieldHead } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import {
  BECOMES,
  CONCESSION_FIELDS,
  type Decision,
  decisionsFor,
  needsTest,
  REASON,
  type RollToDecide,
  whyNot,
} from '../../domain/rollDecision.ts';
import type { IsoDate } from '../../domain/units.ts';
import { type Concession, concessionOn, endConcession, insertConcession } from '../../store/concessions.ts';
import { bookStatus } from '../../store/ledger.ts';
import { ordersOfRolls, refreshOrders } from '../../store/orderProgress.ts';
import { type Holder, holdersOf } from '../../store/releases.ts';
import { findRows } from '../../store/rows.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';

export type { Concession, Holder };

export interface DecisionAsked {
  roll: string;
  decision: Decision;
  typed: Typed;
  by: string;
  requestKey: string;
  today: IsoDate;
}

interface Given {
  reason: string;
  approver: string;
  until: IsoDate;
  test: string | null;
}

export async function decideOnRoll(db: Knex, asked: DecisionAsked): Promise<Entered<Fault[]>> {
  const { decision, typed, by, requestKey } = asked;
  const fields = decision === 'concession' ? CONCESSION_FIELDS : [REASON];
  const all = Object.fromEntries(fields.map(({ name }) => [name, typed[name] ?? '']));
  const { given, faults } = readFields({ fields }, all, 'auto');
  if (faults.length > 0) return { ok: false, faults };
  const said = given as unknown as Given;
  const details =
    decision === 'concession'
      ? { decision, approver: said.approver, until: said.until, test: said.test }
      : { decision };
  return enterOnce(db, { kind: 'status', by, requestKey, reason: said.reason, details }, (trx, entry) =>
    decide(trx, entry, asked, said),
  );
}

async function decide(trx: Knex, entry: number, asked: DecisionAsked, said: Given) {
  const { decision, today } = asked;
  const { code, roll, concession } = await rollToDecide(trx, asked.roll, 'lock');
  const why = whyNot(decision, roll, today);
  if (why !== undefined) throw new Refusal('not-to-be-decided', { roll: code, decision, why });
  const useBy = concession ? concession.useByBefore : roll.useBy;
  if (decision === 'concession') {
    const faults = checkConcession(useBy, said, today);
    if (faults.length > 0) return faults;
  }
  if (concession) await endConcession(trx, concession, entry);
  if (decision === 'concession')
    await insertConcession(trx, { ...said, entry, roll: code, useByBefore: useBy });
  await bookStatus(trx, entry, [code], BECOMES[decision]);
  await refreshOrders(trx, await ordersOfRolls(trx, [code]));
  return undefined;
}

function checkConcession(useBy: IsoDate | null, { until, test }: Given, today: IsoDate): Fault[] {
  const fault = (name: string, value: string, wrong: string, right: string): Fault => {
    const field = CONCESSION_FIELDS.find((one) => one.name === name);
    return { field: name, column: field ? fieldHead(field) : name, value, wrong, right };
  };
  if (until < today) return [fault('until', until, `${until} is past`, 'today or a later day')];
  if (needsTest(useBy, until) && test === null)
    return [
      fault(
        'test',
        '',
        `the roll was to be used by ${useBy}, and no test is named`,
        'what was tested and what came out, or an earlier day',
      ),
    ];
  return [];
}

async function rollToDecide(db: Knex, code: string, lock: 'lock' | 'read') {
  const [row] = await findRows(db, RESOURCES.rolls, [code], lock);
  if (!row) throw new Refusal('not-found', { what: 'roll', code });
  const concession = await concessionOn(db, String(row.code));
  const roll: RollToDecide = {
    status: String(row.status),
    useBy: (row.useBy as IsoDate | null) ?? null,
    conceded: concession !== undefined,
  };
  return { code: String(row.code), row, roll, concession };
}

/** What may be decided on a roll now, the concession in force, and who has it at a machine. */
export async function whatMayBeDecided(db: Knex, code: string, today: IsoDate) {
  const { row, roll, concession } = await rollToDecide(db, code, 'read');
  const [holder] = await holdersOf(db, [String(row.code)]);
  return { row, decisions: decisionsFor(roll, today), concession, holder };
}
