// What the audit looks for, as SQL over whole sets: each check gives the rolls and entries that break it, and `say` puts
// one of them into words. All of it holds by the way the program writes; the audit proves it from the rows alone.
// Lengths whole mm, masses whole mg; what comes in is positive, what goes out or is lost is negative.

export interface FoundFault {
  roll: string | null;
  entry: number | null;
  [fact: string]: unknown;
}

export interface AuditCheck {
  name: string;
  /** What holds when no fault is found. */
  holds: string;
  /** One row a fault, with `roll`, `entry` and what `say` needs; may read the table `booked`. */
  sql: string;
  say(fault: FoundFault): string;
}

const m = (lengthMm: unknown): string => `${Number(lengthMm) / 1000} m`;
const kg = (massMg: unknown): string => `${Number(massMg) / 1e6} kg`;

const m2 = (umMm: unknown): string => `${Number(umMm) / 1e9} m2`;

/** One line a roll, made once for all checks: dropped with the transaction. */
export const BOOKED = `
  create temp table booked on commit drop as select roll,
    ${['in', 'out', 'loss']
      .flatMap((side) => [
        `coalesce(sum(length_mm) filter (where side = '${side}'), 0)::bigint as ${side}_mm`,
        `coalesce(sum(mass_mg) filter (where side = '${side}'), 0)::bigint as ${side}_mg`,
      ])
      .join(', ')},
    -coalesce(sum(length_mm) filter (where cause in ('dispatched', 'returned')), 0)::bigint as sent_mm,
    bool_or(made_of is not null) as is_made, bool_or(cause = 'entered') as is_entered, max(entry) as last_entry,
    max(entry) filter (where length_mm > 0 or mass_mg > 0) as last_gain,
    min(entry) filter (where length_mm < 0 or mass_mg < 0) as first_take
  from movements group by roll`;

const ROWS_EQUAL_LEDGER: AuditCheck = {
  name: 'balance',
  holds: "every roll's length and mass are what came in, less what went out, less what was lost",
  sql: `
    select * from (
      select coalesce(r.code, b.roll) as roll, b.last_entry as entry, coalesce(r.length_mm, 0) as "holdsMm",
        (coalesce(r.mass_kg, 0) * 1000000)::bigint as "holdsMg",
        coalesce(b.in_mm + b.out_mm + b.loss_mm, 0) as "saysMm", coalesce(b.in_mg + b.out_mg + b.loss_mg, 0) as "saysMg"
      from rolls r full join booked b on b.roll = r.code) as rows
    where "holdsMm" <> "saysMm" or "holdsMg" <> "saysMg"`,
  say: (f) =>
    `holds ${m(f.holdsMm)} and ${kg(f.holdsMg)}, but its ledger says ${m(f.saysMm)} and ${kg(f.saysMg)}`,
};

const SIDES: AuditCheck = {
  name: 'sides',
  holds: 'of no roll more was taken back than had gone: in is never below zero, out and loss never above',
  sql: `
    select roll, last_entry as entry, in_mm, out_mm, loss_mm, in_mg, out_mg, loss_mg from booked
    where in_mm < 0 or in_mg < 0 or out_mm > 0 or out_mg > 0 or loss_mm > 0 or loss_mg > 0`,
  say: (f) =>
    `adds up the wrong way: in ${m(f.in_mm)} and ${kg(f.in_mg)}, out ${m(f.out_mm)} and ${kg(f.out_mg)}, lost ${m(f.loss_mm)} and ${kg(f.loss_mg)}`,
};

/** Where everything came in before anything was taken, the end is the least it ever held; only other rolls are followed. */
const NEVER_NEGATIVE: AuditCheck = {
  name: 'negative',
  holds: 'no roll held less than nothing after any entry',
  sql: `
    select distinct on (roll) roll, entry, "lengthMm", "massMg" from (
      select roll, entry, sum(sum(length_mm)) over so_far as "lengthMm", sum(sum(mass_mg)) over so_far as "massMg"
      from movements where roll in (select roll from booked where first_take < last_gain)
      group by roll, entry window so_far as (partition by roll order by entry)
      union all
      select roll, last_entry, in_mm + out_mm + loss_mm, in_mg + out_mg + loss_mg from booked) as balances
    where "lengthMm" < 0 or "massMg" < 0 order by roll, entry`,
  say: (f) => `held ${m(f.lengthMm)} and ${kg(f.massMg)} after this entry`,
};

const STATUS: AuditCheck = {
  name: 'status',
  holds:
    "every roll's status is the last one of its ledger, and each change begins where the one before ended",
  sql: `
    select coalesce(r.code, s.roll) as roll, s.entry, coalesce(s.next, r.status) as "is", s.becomes as "says"
    from rolls r full join (
      select roll, entry, becomes, lead(coalesce(was, 'new')) over (partition by roll order by id) as next
      from status_changes) s on s.roll = r.code
    where coalesce(s.next, r.status) is distinct from s.becomes
    union all
    select roll, min(entry), 'new', min(was) from status_changes group by roll having bool_and(was is not null)`,
  say: (f) => `is "${f.is}" where its ledger says "${f.says ?? 'nothing'}"`,
};

const DISPATCHED: AuditCheck = {
  name: 'dispatched',
  holds: 'a roll is dispatched exactly when its length has left the house',
  sql: `
    select r.code as roll, b.last_entry as entry, r.status, r.length_mm as "holdsMm", coalesce(b.sent_mm, 0) as "goneMm"
    from rolls r left join booked b on b.roll = r.code
    where (r.status = 'dispatched') <> (coalesce(b.sent_mm, 0) <> 0)
      or (r.status = 'dispatched' and r.length_mm <> 0)`,
  say: (f) => `is ${f.status} with ${m(f.holdsMm)} in the house and ${m(f.goneMm)} sent away`,
};

/** What an entry took out of a roll to make others, beside what it made of that roll; areas in um mm. */
const HANDED_OVER = `
  select v.entry, coalesce(v.made_of, v.roll) as roll,
    -sum(v.mass_mg) filter (where v.made_of is null) as "gaveMg",
    sum(v.mass_mg) filter (where v.made_of is not null) as "tookMg",
    -sum(v.length_mm * r.width_um) filter (where v.made_of is null) as "gaveArea",
    sum(v.length_mm * r.width_um) filter (where v.made_of is not null) as "tookArea"
  from movements v join rolls r on r.code = v.roll
  where v.made_of is not null or (v.side = 'out' and v.cause <> 'dispatched')
  group by v.entry, coalesce(v.made_of, v.roll)`;

const MASS: AuditCheck = {
  name: 'handed over',
  holds:
    'in each entry, what was made of a roll weighs exactly what that roll gave for it, and is no larger than the piece used',
  sql: `
    select * from (${HANDED_OVER}) as handed where coalesce("gaveMg", 0) <> coalesce("tookMg", 0)
      or coalesce("gaveArea", 0) * coalesce("tookArea", 0) < 0 or abs(coalesce("tookArea", 0)) > abs(coalesce("gaveArea", 0))`,
  say: (f) =>
    `gave ${kg(f.gaveMg)} and ${m2(f.gaveArea)}, but what was made of it is ${kg(f.tookMg)} and ${m2(f.tookArea)}`,
};

/** Where more metres were counted between two recordings, the roll was longer than thought and they lie elsewhere. */
const CUT_TWICE: AuditCheck = {
  name: 'cut twice',
  holds: 'no metre of a roll was cut twice',
  sql: `
    select roll, entry, from_mm as "fromMm", least(to_mm, other_to) as "toMm", other from (
      select roll, entry, from_inner_mm as from_mm, from_inner_mm + used_mm as to_mm,
        lag(entry) over deep as other, lag(from_inner_mm + used_mm) over deep as other_to
      from recordings where undone_by is null and what <> 'end'
      window deep as (partition by roll order by from_inner_mm, entry)) as stretches
    where from_mm < other_to and not exists (
      select from movements v where v.roll = stretches.roll and v.cause = 'counted' and v.length_mm > 0
        and v.entry between least(stretches.entry, stretches.other) and greatest(stretches.entry, stretches.other))`,
  say: (f) => `took ${m(f.fromMm)} to ${m(f.toMm)} from its inner end, which entry ${f.other} had taken`,
};

/** Finished rolls that were typed in came from outside; their origin is not known here. */
const PARENT: AuditCheck = {
  name: 'parent',
  holds: 'every finished roll that was made here has a parent, and no roll is made of itself',
  sql: `
    select r.code as roll, b.last_entry as entry, 'no parent' as "what" from rolls r left join booked b on b.roll = r.code
    where r.kind = 'finished' and not coalesce(b.is_made or b.is_entered, false)
    union all
    select roll, entry, 'itself' from movements where made_of = roll`,
  say: (f) => (f.what === 'itself' ? 'is made of itself' : 'is a finished roll without a parent'),
};

export const AUDIT_CHECKS: readonly AuditCheck[] = [
  ROWS_EQUAL_LEDGER,
  SIDES,
  NEVER_NEGATIVE,
  STATUS,
  DISPATCHED,
  MASS,
  CUT_TWICE,
  PARENT,
];
