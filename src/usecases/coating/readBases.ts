// The base rolls of a coating run: each must be film of a grade of the product, released, not past its use-by day, not at
// a slitter, long enough and weighed. They are locked, in the order of their numbers.
import type { Knex } from 'knex';
import { BASE_FIELDS } from '../../domain/coatingForm.ts';
import { fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { type Holder, holdersOf } from '../../store/releases.ts';
import { findRows } from '../../store/rows.ts';
import type { BaseRoll, CoatingFault, TableRow } from './coating.ts';

export async function readBases(
  db: Knex,
  typed: readonly TableRow[],
  product: Row,
  today: string,
): Promise<{ bases: BaseRoll[]; faults: CoatingFault[] }> {
  const faults: CoatingFault[] = [];
  const at = (place: number, field: string, value: string, wrong: string, right: string) => {
    const head = BASE_FIELDS.find(({ name }) => name === field);
    faults.push({ list: 'bases', place, field, column: head ? fieldHead(head) : field, value, wrong, right });
  };
  if (typed.length === 0) at(0, 'roll', '', 'no base roll is named', 'the film that was coated');
  const codes = typed.map(({ given }) => String(given.roll));
  const rows = new Map(
    (await findRows(db, RESOURCES.rolls, codes, 'lock')).map((row) => [String(row.code).toLowerCase(), row]),
  );
  const holders = new Map(
    (
      await holdersOf(
        db,
        [...rows.values()].map(({ code }) => String(code)),
      )
    ).map((one) => [one.roll, one]),
  );
  const bases: BaseRoll[] = [];
  for (const { place, given } of typed) {
    const code = String(given.roll);
    const row = rows.get(code.toLowerCase());
    const wrong = row
      ? whyNotCoated(row, product, holders.get(String(row.code)), today)
      : [`there is no roll ${code}`, 'the number on the label'];
    const takenMm = (given.takenMm ?? row?.lengthMm ?? 0) as number;
    if (wrong) at(place, 'roll', code, wrong[0] as string, wrong[1] as string);
    else if (bases.some((base) => base.row === row))
      at(place, 'roll', code, `${code} is named twice`, 'each base roll once');
    else if (row && takenMm > Number(row.lengthMm))
      at(
        place,
        'takenMm',
        String(mmToM(takenMm)),
        `roll ${row.code} holds ${mmToM(row.lengthMm as number)} m`,
        'that much or less',
      );
    else if (row) bases.push({ row, takenMm });
  }
  const widths = new Set(bases.map(({ row }) => row.widthUm as number));
  if (widths.size > 1)
    at(
      0,
      'roll',
      '',
      `the base rolls are ${[...widths].map(umToMm).join(' and ')} mm wide`,
      'rolls of one width in one run',
    );
  return { bases, faults };
}

type Why = [wrong: string, right: string];

/** What is wrong with coating this roll with the product, and what would be right. */
function whyNotCoated(row: Row, product: Row, holder: Holder | undefined, today: string): Why | undefined {
  const { code, kind, item, status, useBy } = row;
  const grades = product.grades as string[];
  if (kind !== 'base') return [`roll ${code} is no base film: it is ${kind}`, 'a roll of base film'];
  if (!grades.includes(String(item)))
    return [
      `roll ${code} is ${item}, on which ${product.code} is not coated`,
      grades.length > 0 ? `a roll of ${grades.join(' or ')}` : `the grades of ${product.code} entered first`,
    ];
  if (status !== 'released')
    return [`roll ${code} is ${status}`, 'a released roll, or have this one decided on'];
  if (useBy && String(useBy) < today)
    return [`roll ${code} was to be used by ${useBy}`, 'a roll within its use-by day, or a concession'];
  if (holder)
    return [
      `roll ${code} is at a slitter: ${holder.by} released it (release ${holder.release})`,
      'a roll that is free',
    ];
  if (row.massKg === null)
    return [`the mass of roll ${code} is not entered`, 'weigh it and enter its mass first'];
  return undefined;
}
