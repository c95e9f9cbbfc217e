// Where the film went between two days, narrowed to one machine, product or lot when asked.
import type { Knex } from 'knex';
import type { Fact } from '../../domain/yieldAccount.ts';
import { yieldFacts } from '../../store/yieldFacts.ts';

export interface YieldAsked {
  /** First day, and the day after the last. */
  from: string;
  until: string;
  machine?: string | undefined;
  product?: string | undefined;
  lot?: string | undefined;
}

export interface YieldSeen {
  /** Narrowed. */
  facts: Fact[];
  /** What there is to narrow to. */
  choices: { machine: string[]; product: string[]; lot: string[] };
}

export async function readYield(db: Knex, asked: YieldAsked): Promise<YieldSeen> {
  const all = await yieldFacts(db, asked.from, asked.until);
  const narrow = (['machine', 'product', 'lot'] as const).filter((name) => asked[name]);
  const choices = (name: 'machine' | 'product' | 'lot') => [...new Set(all.map((fact) => fact[name]))].sort();
  return {
    facts: all.filter((fact) => narrow.every((name) => fact[name] === asked[name])),
    choices: { machine: choices('machine'), product: choices('product'), lot: choices('lot') },
  };
}
