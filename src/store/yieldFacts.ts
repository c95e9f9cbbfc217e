// Where the film went, planned and actual: one row for each cause, machine, product, supplier's lot and week, over the
// sets that were cut (not those taken back) and the coatings. Planned is what the run of the plan foresaw for the same
// sets. Areas in m2; of a roll that was weighed by its mass, else by its metres. Worth: as the plan counted the roll.
import type { Knex } from 'knex';
import { COATED_FILM, COATER, GOOD_ROLLS } from '../domain/stockWords.ts';
import type { Fact } from '../domain/yieldAccount.ts';

/** Recordings that stand, each with the run that it cut; `began`: the roll was threaded up for it. */
const CUTS = `
  cuts as (
    select c.entry, c.roll, c.what, e.at, n.slitter as machine, coalesce(n.product, r.product) as product, n.run,
      n.length_mm, r.width_um, l.plan, row_number() over (partition by c.release, c.roll order by c.entry) = 1 as began
    from recordings c join entries e on e.id = c.entry join rolls r on r.code = c.roll join releases l on l.id = c.release
    join lateral (
      select n.* from released_runs n where n.release = c.release and (n.sequence = c.sequence or (c.sequence is null
        and exists (select from json_array_elements(n.run -> 'from') f where f ->> 'roll' = c.roll)))
      order by n.sequence limit 1) n on true
    where c.undone_by is null),
  chosen as (select * from cuts where at >= ? and at < ?)`;

/** m2 of one mg of a roll, from all that came in; null when it was never weighed. And what the plan held a m2 for. */
const ROLLS = `
  weights as (
    select v.roll, (sum(v.length_mm) filter (where v.cause <> 'coating'))::float8 * min(r.width_um) / 1e9
      / nullif(sum(v.mass_mg), 0) as m2_per_mg
    from movements v join rolls r on r.code = v.roll
    where v.side = 'in' and v.roll in (select roll from chosen) group by v.roll),
  worths as (
    select distinct c.roll, c.plan, (p ->> 'costPerRoll')::float8
      / nullif((p ->> 'widthMm')::float8 / 1000 * (p ->> 'lengthM')::float8, 0) as per_m2
    from (select distinct roll, plan from chosen) c join plans on plans.id = c.plan
    cross join lateral json_array_elements(plans.problem -> 'rolls') p where p ->> 'id' = c.roll),
  back(roll, code) as (
    select distinct roll, roll from chosen
    union
    select back.roll, p.made_of from back cross join lateral (
      select v.made_of from movements v where v.roll = back.code and v.made_of is not null offset 0) p),
  lots as (
    select back.roll, string_agg(distinct coalesce(s.name || ', ', '') || coalesce(r.lot, 'no lot'), '; ') as lot
    from back join rolls r on r.code = back.code left join suppliers s on s.code = r.supplier
    where r.kind = 'base' or not exists (select from movements v where v.roll = r.code and v.made_of is not null)
    group by back.roll)`;

/** What left the roll; later losses of finished rolls take from the good rolls what they name as lost. */
const ACTUAL = `
  left_roll as (
    select c.entry, case when v.side = 'out' then '${GOOD_ROLLS}' else v.cause end as cause, v.length_mm, v.mass_mg, c.width_um
    from chosen c join movements v on v.entry = c.entry and v.roll = c.roll and v.side in ('out', 'loss')),
  actual as (
    select o.entry, o.cause, -o.mass_mg as mg, case when w.m2_per_mg is not null then -o.mass_mg * w.m2_per_mg
      when o.cause = '${GOOD_ROLLS}' then k.area else -o.length_mm * o.width_um::float8 / 1e9 end as area
    from left_roll o join chosen c on c.entry = o.entry left join weights w on w.roll = c.roll
    left join lateral (select coalesce(sum(v.length_mm::float8 * r.width_um), 0) / 1e9 as area from movements v
      join rolls r on r.code = v.roll where v.entry = o.entry and v.made_of = c.roll) k on true
    union all
    select o.entry, 'lanes, not weighed', 0, -o.length_mm * o.width_um::float8 / 1e9 - k.area
    from left_roll o join chosen c on c.entry = o.entry left join weights w on w.roll = c.roll
    join lateral (select coalesce(sum(v.length_mm::float8 * r.width_um), 0) / 1e9 as area from movements v
      join rolls r on r.code = v.roll where v.entry = o.entry and v.made_of = c.roll) k on true
    where o.cause = '${GOOD_ROLLS}' and w.m2_per_mg is null
    union all
    select c.entry, side.cause, side.sign * -v.mass_mg, side.sign * -v.length_mm * r.width_um::float8 / 1e9
    from chosen c join movements m on m.entry = c.entry and m.made_of = c.roll and m.length_mm > 0
    join movements v on v.roll = m.roll and v.side = 'loss' join rolls r on r.code = m.roll
    cross join lateral (values (v.cause, 1), ('${GOOD_ROLLS}', -1)) as side(cause, sign))`;

const PLANNED = `
  planned as (
    select c.entry, p.cause, p.area from chosen c join slitters s on s.code = c.machine
    cross join lateral (
      select case when strip ->> 'waste' is null then '${GOOD_ROLLS}' else 'waste strip' end as cause,
        sum((strip ->> 'toMm')::float8 - (strip ->> 'fromMm')::float8) * c.length_mm / 1e6 as area
      from json_array_elements(c.run -> 'strips') strip group by 1
      union all select 'edge trim', (c.width_um / 1000.0 - (select sum((strip ->> 'toMm')::float8
        - (strip ->> 'fromMm')::float8) from json_array_elements(c.run -> 'strips') strip)) * c.length_mm / 1e6
      union all select 'tail', s.tail_mm * c.width_um::float8 / 1e9
      union all select 'lead-in', case when c.began then s.lead_in_mm * c.width_um::float8 / 1e9 else 0 end) p
    where c.what = 'set')`;

/**
 * The coater takes base film whole, so its metres tell the area. Planned: all but the start-up of the product is coated.
 * Worth: the film at the cheapest offer of its grade.
 */
const COATED = `
  coated as (
    select e.id as entry, e.at, v.roll, g.item as product, r.width_um, v.side, v.length_mm, v.mass_mg,
      case when v.side = 'out' then '${COATED_FILM}' else v.cause end as cause,
      row_number() over (partition by e.id, v.roll, v.side order by v.id) = 1 as first,
      -sum(v.length_mm) over whole as used_mm, bool_or(v.cause = 'coating start-up') over whole as starts,
      d.coating_loss_mm, (select min(in_plant_currency(o.price_per_kg, o.currency, e.at::date)) from offers o where o.grade = r.grade) as per_kg
    from entries e join movements v on v.entry = e.id and v.side in ('out', 'loss')
    join rolls r on r.code = v.roll and r.kind = 'base'
    join lateral (select c.item from movements m join rolls c on c.code = m.roll
      where m.entry = e.id and m.made_of is not null limit 1) g on true join products d on d.code = g.item
    where e.kind = 'coated' and e.at >= ? and e.at < ?
      and not exists (select from entries u where u.corrects = e.id and u.kind = 'corrected') window whole as (partition by e.id, v.roll))`;

const WEEK = "to_char(date_trunc('week', at), 'YYYY-MM-DD')";

/** Facts from a day on, up to but not with another. */
export async function yieldFacts(db: Knex, from: string, until: string): Promise<Fact[]> {
  const { rows } = await db.raw(
    `with recursive ${[CUTS, ROLLS, ACTUAL, PLANNED, COATED].join(',')},
     facts as (
       select coalesce(a.entry, p.entry) as entry, coalesce(a.cause, p.cause) as cause, coalesce(p.area, 0) as planned,
         coalesce(a.area, 0) as actual, coalesce(a.mg, 0) as mg
       from (select entry, cause, sum(area) as area, sum(mg) as mg from actual group by 1, 2) a
       full join planned p on p.entry = a.entry and p.cause = a.cause)
     select f.cause, c.machine, c.product, coalesce(l.lot, 'not known') as lot, ${WEEK} as week,
       sum(f.planned)::float8 as "plannedM2", sum(f.actual)::float8 as "actualM2", sum(f.mg)::float8 / 1e6 as "actualKg",
       case when bool_and(w.per_m2 is not null) then sum(f.actual * w.per_m2)::float8 end as cost
     from facts f join chosen c on c.entry = f.entry left join lots l on l.roll = c.roll
     left join worths w on w.roll = c.roll and w.plan = c.plan
     group by 1, 2, 3, 4, 5
     union all
     select c.cause, '${COATER}', c.product, coalesce(s.name || ', ', '') || coalesce(r.lot, 'no lot'), ${WEEK},
       sum(c.width_um::float8 / 1e9 * case
         when c.side = 'out' and c.first then c.used_mm - case when c.starts then c.coating_loss_mm else 0 end
         when c.cause = 'coating start-up' then c.coating_loss_mm else 0 end),
       sum(-c.length_mm * c.width_um::float8) / 1e9, sum(-c.mass_mg)::float8 / 1e6,
       sum(-c.mass_mg / 1e6 * c.per_kg)::float8
     from coated c join rolls r on r.code = c.roll left join suppliers s on s.code = r.supplier
     group by 1, 2, 3, 4, 5
     order by 5, 2, 3, 4, 1`,
    [from, until, from, until],
  );
  return rows;
}
