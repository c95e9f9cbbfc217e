// The audit: over the whole database in = out + loss + remaining for each roll in length and mass, rows equal the
// ledger, nothing weighs more or is larger than what it was made of. Gives what it looked at and every fault in words.
import type { Knex } from 'knex';
import {
  type AuditCounts,
  auditCounts,
  type CauseSums,
  causeSums,
  faultsOf,
  type KindSums,
  kindSums,
  onSnapshot,
} from '../../store/audit.ts';
import { AUDIT_CHECKS } from '../../store/auditChecks.ts';

export interface AuditFault {
  roll: string | null;
  entry: number | null;
  words: string;
}

export interface CheckedRule {
  name: string;
  holds: string;
  /** How many faults there are; `faults` are the first of them. */
  total: number;
  faults: AuditFault[];
}

export interface Audit {
  counts: AuditCounts;
  kinds: KindSums[];
  causes: CauseSums[];
  rules: CheckedRule[];
  /** Faults of all rules together. */
  faults: number;
}

/** Reads the whole ledger at one moment; `most` faults of each rule are spelt out. */
export async function auditStock(db: Knex, most: number): Promise<Audit> {
  return onSnapshot(db, async (trx) => {
    const rules: CheckedRule[] = [];
    for (const check of AUDIT_CHECKS) {
      const { total, first } = await faultsOf(trx, check, most);
      const faults = first.map((fault) => ({
        roll: fault.roll,
        entry: fault.entry,
        words: check.say(fault),
      }));
      rules.push({ name: check.name, holds: check.holds, total, faults });
    }
    return {
      counts: await auditCounts(trx),
      kinds: await kindSums(trx),
      causes: await causeSums(trx),
      rules,
      faults: rules.reduce((sum, { total }) => sum + total, 0),
    };
  });
}
