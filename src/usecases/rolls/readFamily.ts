// The family of a roll or of a lot: back to the supplier's lots, forward to orders and customers. Whole rolls one by one,
// finished rolls counted, because a lot may have thousands.
import type { Knex } from 'knex';
import { RESOURCES } from '../../domain/resources.ts';
import {
  type FamilyRoll,
  type FinishedInFamily,
  type FinishedOfOrder,
  type FinishedOfParent,
  type FinishedSums,
  familyRolls,
  finishedForOrder,
  finishedSums,
  rollsOfLot,
} from '../../store/genealogy.ts';
import { findCodes } from '../../store/rows.ts';

export type { FamilyRoll, FinishedOfOrder, FinishedOfParent };

/** Rolls of a lot that one page follows. */
const MOST_STARTS = 200;

export interface FamilyAsked {
  page: number;
  pageSize: number;
  /** Show the single rolls for this order; '' for those that are for nobody. */
  order?: string | undefined;
}

export interface Family {
  /** Where the question began: a roll, or the rolls of a lot. */
  starts: string[];
  /** Rolls of the lot beyond those followed. */
  notFollowed: number;
  rolls: FamilyRoll[];
  finished: FinishedSums;
  single: { rows: FinishedInFamily[]; total: number } | undefined;
}

/** Undefined when there is no such roll. */
export async function familyOfRoll(db: Knex, code: string, asked: FamilyAsked): Promise<Family | undefined> {
  const known = (await findCodes(db, RESOURCES.rolls, [code])).get(code.toLowerCase());
  return known === undefined ? undefined : familyOf(db, [known], 0, asked);
}

/** Undefined when no roll has this lot. */
export async function familyOfLot(db: Knex, lot: string, asked: FamilyAsked): Promise<Family | undefined> {
  const { codes, total } = await rollsOfLot(db, lot, MOST_STARTS);
  return codes.length === 0 ? undefined : familyOf(db, codes, total - codes.length, asked);
}

async function familyOf(
  db: Knex,
  starts: string[],
  notFollowed: number,
  asked: FamilyAsked,
): Promise<Family> {
  const rolls = await familyRolls(db, starts);
  const parents = below(starts, rolls);
  return {
    starts,
    notFollowed,
    rolls,
    finished: await finishedSums(db, parents, asked),
    single:
      asked.order === undefined
        ? undefined
        : await finishedForOrder(db, parents, asked.order === '' ? null : asked.order, asked),
  };
}

/** The starts and what was made of them, without their ancestors' other children. */
function below(starts: readonly string[], rolls: readonly FamilyRoll[]): string[] {
  const inside = new Set(starts);
  for (let before = -1; before !== inside.size; ) {
    before = inside.size;
    for (const { code, parents } of rolls) if (parents.some((parent) => inside.has(parent))) inside.add(code);
  }
  return [...inside];
}
