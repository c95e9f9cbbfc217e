// The audit as a page: the answer first, then what was looked at, then each rule with its faults. m and kg.
import type { RequestHandler } from 'express';
import { type Audit, auditStock, type CheckedRule } from '../../usecases/afterwards/auditStock.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { count, grouped, rowHref } from '../words.ts';

/** Faults of one rule that are spelt out; `npm run audit` prints more. */
const MOST_FAULTS = 100;

const fixed = (value: number): string =>
  value.toLocaleString('en-GB', { minimumFractionDigits: 3, maximumFractionDigits: 3 });
const metres = (mm: number): string => fixed(mm / 1000);
const kilos = (mg: number): string => fixed(mg / 1e6);

/** GET /audit. */
export function auditPage(services: Services): RequestHandler {
  return async (req, res) => {
    const audit = await auditStock(services.db, MOST_FAULTS);
    const { counts } = audit;
    showPage(req, res, 'audit', {
      title: 'Audit of the stock',
      faults: audit.faults === 0 ? '' : count(audit.faults, 'fault'),
      looked: `${count(counts.rolls, 'roll')}, ${count(counts.entries, 'entry', 'entries')} of the ledger${daysOf(audit)}, ${count(counts.movements, 'movement')} of length and mass, ${count(counts.statusChanges, 'change')} of status`,
      rules: audit.rules.map(ruleModel),
      kinds: audit.kinds.map((k) => ({
        kind: k.kind,
        rolls: grouped(k.rolls),
        metres: [k.inMm, 0 - k.outMm, 0 - k.lossMm, k.restMm].map(metres),
        kilos: [k.inMg, 0 - k.outMg, 0 - k.lossMg, k.restMg].map(kilos),
      })),
      causes: audit.causes.map((c) => ({
        side: c.side,
        cause: c.cause,
        movements: grouped(c.movements),
        metres: metres(c.lengthMm),
        kilos: kilos(c.massMg),
      })),
    });
  };
}

function daysOf({ counts: { from, to } }: Audit): string {
  if (!from || !to) return '';
  const [first, last] = [from, to].map((at) => at.toLocaleDateString('sv-SE'));
  return first === last ? ` of ${first}` : ` from ${first} to ${last}`;
}

function ruleModel({ holds, total, faults }: CheckedRule) {
  return {
    holds,
    total: total === 0 ? '' : count(total, 'fault'),
    more: total > faults.length ? grouped(total - faults.length) : '',
    faults: faults.map(({ roll, entry, words }) => ({
      roll: roll ?? '',
      href: roll === null ? undefined : rowHref('rolls', roll),
      entry: entry ?? '',
      words,
    })),
  };
}
