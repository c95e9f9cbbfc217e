// What can be wrong with a coating record by itself: the checks of its lot of coating, and numbers that are taken.
import type { Knex } from 'knex';
import { LOT_FIELDS, RUN_FIELDS } from '../../domain/coatingForm.ts';
import { type Field, fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { findCodes } from '../../store/rows.ts';
import type { CoatingFault, TableRow } from './coating.ts';

export const HEAD = { fields: [...RUN_FIELDS, ...LOT_FIELDS] };

export function headFault(name: string, value: string, wrong: string, right: string): CoatingFault {
  const field = HEAD.fields.find((one) => one.name === name) as Field;
  return { field: name, column: fieldHead(field), value, wrong, right };
}

/** A limit without a value, a least above a most, a release without checks. */
export function checkLot(head: Row): CoatingFault[] {
  const faults: CoatingFault[] = [];
  for (const [name, least, most] of [
    ['viscosity', 'viscosityMin', 'viscosityMax'],
    ['solidsPct', 'solidsMinPct', 'solidsMaxPct'],
  ] as const) {
    const [value, low, high] = [head[name], head[least], head[most]].map(
      (one) => (one ?? null) as number | null,
    );
    if (value === null && (low !== null || high !== null))
      faults.push(headFault(name, '', 'there is a limit and no value', 'the value that was measured'));
    if (typeof low === 'number' && typeof high === 'number' && low > high)
      faults.push(headFault(least, String(low), 'the least is above the most', `${high} or less`));
    if (value === null && head.status === 'released')
      faults.push(
        headFault(
          name,
          '',
          'it is to be released and was not measured',
          'the value, or "in quarantine" below',
        ),
      );
  }
  return faults;
}

/** Numbers of coated rolls that another roll has. */
export async function takenCodes(db: Knex, jumbos: readonly TableRow[]): Promise<CoatingFault[]> {
  const faults: CoatingFault[] = [];
  const codes = jumbos.flatMap(({ given }) => (given.code ? [String(given.code)] : []));
  const taken = await findCodes(db, RESOURCES.rolls, codes);
  const seen = new Set<string>();
  for (const { given, place } of jumbos) {
    const code = given.code ? String(given.code).toLowerCase() : undefined;
    if (code === undefined) continue;
    const wrong = taken.has(code)
      ? `roll ${given.code} is there already`
      : seen.has(code)
        ? `${given.code} is named twice`
        : undefined;
    seen.add(code);
    if (wrong)
      faults.push({
        list: 'jumbos',
        place,
        field: 'code',
        column: 'Coated roll',
        value: String(given.code),
        wrong,
        right: 'another number, or none: the next is taken',
      });
  }
  return faults;
}
