// How values are written on pages: grouped numbers with their unit in the column head, ISO days, and the plain words
// for "how many" and "how soon". Forms and files use domain/fieldText.ts instead, which can be read back.

import { printField } from '../domain/fieldText.ts';
import { type Field, type Row, referenceTarget } from '../domain/resource.ts';
import { daysBetween, type IsoDate } from '../domain/units.ts';

/** 11400 -> "11,400"; at most `decimals` places, none that say nothing. */
export function grouped(value: number, decimals = 3): string {
  return value.toLocaleString('en-GB', { maximumFractionDigits: decimals });
}

/** 1, "roll" -> "1 roll"; 3, "roll" -> "3 rolls". */
export function count(many: number, singular: string, plural = `${singular}s`): string {
  return `${grouped(many)} ${many === 1 ? singular : plural}`;
}

/** "today", "in 3 days", "5 days ago". */
export function howSoon(day: string, today: string): string {
  const days = daysBetween(today as IsoDate, day as IsoDate);
  if (days === 0) return 'today';
  if (days === 1) return 'tomorrow';
  if (days === -1) return 'yesterday';
  return days > 0 ? `in ${grouped(days)} days` : `${grouped(-days)} days ago`;
}

/** ["a", "b", "c"] -> "a, b and c". */
export function andList(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** "roll" -> "Roll". */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const NUMBERS = new Set(['widthMm', 'lengthM', 'thicknessUm', 'count', 'decimal', 'money', 'percent']);
/** Is this field right-aligned in a table? */
export const isNumber = (field: Field): boolean => NUMBERS.has(field.kind);

/** A field's value for reading (not for typing back): numbers grouped, yes and no, roll maps line by line. */
export function shown(field: Field, value: unknown): string {
  const text = printField(field, value);
  return text !== '' && isNumber(field) ? grouped(Number(text)) : text;
}

/** Address of the row a reference points to; undefined when it points nowhere. */
export function referenceHref(field: Field, row: Row, code: unknown): string | undefined {
  const target =
    field.kind === 'reference' || field.kind === 'references' ? referenceTarget(field, row) : undefined;
  return target && code ? rowHref(target, String(code)) : undefined;
}

/** Address of the page of one row. */
export const rowHref = (resource: string, code: string): string => `/${resource}/${encodeURIComponent(code)}`;
