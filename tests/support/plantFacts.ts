// What holds of a plant after every act, read from its rows beside the program's own audit: no metre is used twice, and
// every roll that was made here comes from film that came in.
import type { Knex } from 'knex';
import { type Family, familyOfLot, familyOfRoll } from '../../src/usecases/rolls/readFamily.ts';

/** Metres of one roll that two recordings both took, rolls in two releases, orders whose count is wrong. */
export async function doubleUse(db: Knex): Promise<unknown[]> {
  const { rows } = await db.raw(`
    with taken as (
      select roll, entry, from_inner_mm as low, from_inner_mm + used_mm as high from recordings
      where undone_by is null and used_mm > 0)
    select 'cut twice' as what, a.roll as about from taken a join taken b
      on a.roll = b.roll and a.entry < b.entry and a.low < b.high and b.low < a.high
    union all
    select 'in two releases', roll from released_rolls where active group by roll having count(*) > 1
    union all
    select 'order miscounted', p.order_line from order_progress p
      where p.made <> (select count(*) from rolls r join order_lines o on o.code = r.order_line
        where r.order_line = p.order_line and r.kind = 'finished'
          and (r.status = 'dispatched' or (r.status = 'released' and r.length_mm >= o.length_mm)))`);
  return rows;
}

interface Roll {
  code: string;
  kind: string;
  lot: string | null;
  supplier: string | null;
}

/** Which rolls were made of which, by the ledger: what was taken back made nothing. */
class Families {
  readonly rolls: Map<string, Roll>;
  private readonly parents = new Map<string, string[]>();
  private readonly children = new Map<string, string[]>();
  readonly voided: ReadonlySet<string>;
  constructor(
    rolls: readonly Roll[],
    made: readonly { roll: string; made_of: string }[],
    voided: readonly string[],
  ) {
    this.voided = new Set(voided);
    this.rolls = new Map(rolls.map((roll) => [roll.code, roll]));
    for (const { roll, made_of } of made) {
      this.parents.set(roll, [...(this.parents.get(roll) ?? []), made_of]);
      this.children.set(made_of, [...(this.children.get(made_of) ?? []), roll]);
    }
  }

  /** The rolls of a lot that no other roll of it gave. */
  firstOfLot = (lot: string): string[] =>
    [...this.rolls.values()]
      .filter((roll) => roll.lot === lot && !this.voided.has(roll.code))
      .map(({ code }) => code)
      .filter((code) => !this.parentsOf(code).some((parent) => this.rolls.get(parent)?.lot === lot));

  parentsOf = (code: string): string[] => this.parents.get(code) ?? [];
  isFinished = (code: string): boolean => this.rolls.get(code)?.kind === 'finished';
  above = (starts: readonly string[]): Set<string> => reach(starts, this.parentsOf);
  below = (starts: readonly string[]): Set<string> => reach(starts, (code) => this.children.get(code) ?? []);
}

function reach(starts: readonly string[], next: (code: string) => string[]): Set<string> {
  const reached = new Set(starts);
  for (const code of reached) for (const one of next(code)) reached.add(one);
  return reached;
}

/**
 * Rolls whose line does not lead back to film that came in, and answers of the program's own family tree that differ
 * from a walk along the ledger: for the roll and the lot that `pick` (0 up to 1) points at.
 */
export async function brokenFamilies(db: Knex, pick: number): Promise<string[]> {
  const rolls: Roll[] = await db('rolls').orderBy('code').select('code', 'kind', 'lot', 'supplier');
  const made = await db('movements')
    .whereNotNull('made_of')
    .groupBy('roll', 'made_of')
    .having(db.raw('sum(length_mm) > 0'))
    .select('roll', 'made_of');
  const entered: string[] = await db('movements').where('cause', 'entered').distinct('roll').pluck('roll');
  const received: string[] = await db('received_rolls').pluck('roll');
  const voided: string[] = await db('movements')
    .whereNotNull('made_of')
    .groupBy('roll')
    .having(db.raw('sum(length_mm) = 0'))
    .pluck('roll');
  const families = new Families(rolls, made, voided);
  const cameIn = new Set([...entered, ...received, ...voided]);
  return [
    ...rolls.flatMap(({ code }) => originFaults(families, code, cameIn)),
    ...(await differences(db, families, pick)),
  ];
}

function originFaults(families: Families, code: string, cameIn: ReadonlySet<string>): string[] {
  const above = [...families.above([code])];
  const first = above.filter((one) => families.parentsOf(one).length === 0);
  return [
    ...first
      .filter((one) => !cameIn.has(one))
      .map((one) => `${code} goes back to ${one}, which never came in`),
    ...(first.length === 0 ? [`${code} comes from itself`] : []),
    ...above
      .map((one) => families.rolls.get(one) as Roll)
      .filter(
        ({ code: one, kind, supplier, lot }) => first.includes(one) && kind === 'base' && !(supplier && lot),
      )
      .map(({ code: one }) => `${code} goes back to ${one}, which has no supplier or lot`),
  ];
}

async function differences(db: Knex, families: Families, pick: number): Promise<string[]> {
  const made = [...families.rolls.keys()].filter((code) => families.parentsOf(code).length > 0);
  const lots = [...new Set([...families.rolls.values()].flatMap(({ lot }) => lot ?? []))];
  const [code, lot] = [made[Math.floor(pick * made.length)], lots[Math.floor(pick * lots.length)]];
  const all = { page: 1, pageSize: 100_000 };
  const ofLot = lot === undefined ? [] : families.firstOfLot(lot);
  return [
    ...(code === undefined
      ? []
      : compare(`roll ${code}`, families, [code], await familyOfRoll(db, code, all))),
    ...(lot === undefined ? [] : compare(`lot ${lot}`, families, ofLot, await familyOfLot(db, lot, all))),
  ];
}

/** The tree of the pages against the walk: the same whole rolls, and as many finished ones. */
function compare(about: string, families: Families, starts: string[], told: Family | undefined): string[] {
  const below = families.below(starts);
  const walked = new Set([
    ...families.above(starts),
    ...[...below].filter((one) => !families.isFinished(one)),
  ]);
  const shown = new Set(told?.rolls.map(({ code }) => code));
  const finished = [...below].filter((one) => families.isFinished(one) && !starts.includes(one)).length;
  const counted = told?.finished.orders.reduce((sum, { rolls }) => sum + rolls, 0) ?? 0;
  return [
    ...[...walked].filter((one) => !shown.has(one)).map((one) => `${about}: ${one} is missing`),
    ...[...shown].filter((one) => !walked.has(one)).map((one) => `${about}: ${one} does not belong`),
    ...(finished === counted ? [] : [`${about}: ${finished} finished rolls, ${counted} counted`]),
  ];
}
