// A field's value as text and back: forms, lists and CSV files all pass through here, so a width typed on a page
// and a width in a file obey the same rules. Edge units outside (mm, m), whole um and mm inside.
import { type Decimal, printNumber, readNumber } from './numberText.ts';
import { type Fault, type Field, fieldHead } from './resource.ts';
import { type BadPlace, parseRollMap, printRollMap } from './rollMap.ts';
import { isIsoDate, mmToM, mmToUm, mToMm, umToMm } from './units.ts';

export type FieldResult = { ok: true; value: unknown } | { ok: false; fault: Fault };
type Reading = { ok: true; value: unknown } | { ok: false; wrong: string; right: string };

const LONGEST_CODE = 40;
const LONGEST_TEXT = 200;
const LONGEST_NOTE = 4000;
/** Above this a whole number of mm or um is no longer exact in a double. */
const LARGEST_EDGE_NUMBER = 9e12;

/** Reads one field from its text; empty text is null, or a fault when the field is required. Never throws. */
export function parseField(field: Field, text: string, how: { decimal: Decimal }): FieldResult {
  const trimmed = text.trim();
  const reading = trimmed === '' ? readEmpty(field) : readValue(field, trimmed, how.decimal);
  if (reading.ok) return reading;
  const { wrong, right } = reading;
  return { ok: false, fault: { field: field.name, column: fieldHead(field), value: text, wrong, right } };
}

function readEmpty(field: Field): Reading {
  if (field.kind === 'references' || field.kind === 'rollMap' || field.kind === 'dates') {
    if (!field.required) return { ok: true, value: [] };
  } else if (!field.required) return { ok: true, value: null };
  return { ok: false, wrong: `${field.label} is missing`, right: example(field) };
}

function readValue(field: Field, text: string, decimal: Decimal): Reading {
  switch (field.kind) {
    case 'code':
    case 'reference':
      return readCode(text);
    case 'references':
      return readCodes(text);
    case 'text':
      return readText(text, LONGEST_TEXT);
    case 'note':
      return readText(text, LONGEST_NOTE);
    case 'date':
      return readDate(text);
    case 'dates':
      return readDates(text);
    case 'yesNo':
      return readYesNo(text);
    case 'choice':
      return readChoice(field, text);
    case 'rollMap':
      return parseRollMap(text);
    default:
      return readQuantity(field, text, decimal);
  }
}

function readCode(text: string): Reading {
  const right = `up to ${LONGEST_CODE} letters, digits and . - _ / : +, without spaces`;
  if (text.length > LONGEST_CODE) return { ok: false, wrong: 'this code is too long', right };
  if (!/^[\p{L}\p{N}][\p{L}\p{N}\-_./:+]*$/u.test(text))
    return { ok: false, wrong: `"${text}" is not a code`, right };
  return { ok: true, value: text };
}

function readCodes(text: string): Reading {
  const codes = text.split(/[;,\s]+/).filter((code) => code !== '');
  const bad = codes.map(readCode).find((reading) => !reading.ok);
  return bad ?? { ok: true, value: [...new Set(codes)] };
}

function readText(text: string, longest: number): Reading {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are exactly what a text must not hold
  if (/[\u0000-\u0008\u000b\u000c\u000e-\u001f]/.test(text))
    return { ok: false, wrong: 'it holds characters that cannot be shown', right: 'plain text' };
  if (text.length > longest)
    return { ok: false, wrong: `it has ${text.length} characters`, right: `at most ${longest} characters` };
  return { ok: true, value: text.replace(/\r\n?/g, '\n') };
}

function readDate(text: string): Reading {
  const dotted = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(text);
  const iso = dotted
    ? `${dotted[3]}-${dotted[2]?.padStart(2, '0')}-${dotted[1]?.padStart(2, '0')}`
    : text.replace(/^(\d{4}-\d{2}-\d{2})[T ]00:00(:00)?$/, '$1');
  if (isIsoDate(iso) && iso >= '1970-01-01' && iso <= '2199-12-31') return { ok: true, value: iso };
  const wrong = /^\d{1,2}\/\d{1,2}\/\d{2,4}$/.test(text)
    ? `"${text}" could be day/month or month/day`
    : `"${text}" is not a calendar day between 1970 and 2199`;
  return { ok: false, wrong, right: 'a day written yyyy-mm-dd, such as 2027-03-17' };
}

function readDates(text: string): Reading {
  const days = text.split(/[;,\s]+/).filter((day) => day !== '');
  const readings = days.map(readDate);
  const bad = readings.find((reading) => !reading.ok);
  if (bad) return bad;
  const values = readings.map((reading) => (reading.ok ? (reading.value as string) : ''));
  return { ok: true, value: [...new Set(values)].sort() };
}

function readYesNo(text: string): Reading {
  if (/^(yes|y|true|1|on)$/i.test(text)) return { ok: true, value: true };
  if (/^(no|n|false|0|off)$/i.test(text)) return { ok: true, value: false };
  return { ok: false, wrong: `"${text}" is neither yes nor no`, right: 'yes or no' };
}

function readChoice(field: Field, text: string): Reading {
  const options = field.options ?? [];
  const found = options.find((option) => option.toLowerCase() === text.toLowerCase());
  if (found !== undefined) return { ok: true, value: found };
  return { ok: false, wrong: `"${text}" is not one of the choices`, right: `one of: ${options.join(', ')}` };
}

function readQuantity(field: Field, text: string, decimal: Decimal): Reading {
  const number = readNumber(withoutUnit(field, text), decimal);
  if (typeof number === 'string') return { ok: false, wrong: number, right: example(field) };
  const wrong = outOfRange(field, number);
  if (wrong) return { ok: false, wrong, right: rangeWords(field) };
  if (field.kind === 'count' && !Number.isInteger(number))
    return { ok: false, wrong: `${text} is not a whole number`, right: rangeWords(field) };
  if (field.kind !== 'widthMm' && field.kind !== 'lengthM') return { ok: true, value: number };
  const inner = field.kind === 'widthMm' ? mmToUm(number) : mToMm(number);
  if (inner === 0 && number !== 0)
    return { ok: false, wrong: `${text} is less than 0.001 ${field.unit}`, right: rangeWords(field) };
  return { ok: true, value: inner };
}

function withoutUnit(field: Field, text: string): string {
  const unit = field.kind === 'percent' ? '%' : field.unit;
  if (!unit || !text.toLowerCase().endsWith(unit.toLowerCase())) return text;
  return text.slice(0, -unit.length).trim();
}

function outOfRange(field: Field, number: number): string | undefined {
  if (Math.abs(number) > LARGEST_EDGE_NUMBER) return `${number} is too large`;
  const { min, max } = field;
  if (min !== undefined && (field.exclusiveMin ? number <= min : number < min))
    return number === 0 ? 'it is zero' : number < 0 ? `${number} is negative` : `${number} is too small`;
  if (max !== undefined && number > max) return `${number} is too large`;
  return undefined;
}

function rangeWords(field: Field): string {
  const unit = field.unit ? ` ${field.unit}` : '';
  const noun = field.kind === 'count' ? 'a whole number' : 'a number';
  const low =
    field.min === undefined ? '' : field.exclusiveMin ? ` above ${field.min}` : ` from ${field.min}`;
  const high = field.max === undefined ? '' : `${low ? ' ' : ' '}up to ${field.max}`;
  return `${noun}${low}${high}${low || high ? unit : unit && ` in${unit}`}`;
}

function example(field: Field): string {
  switch (field.kind) {
    case 'widthMm':
    case 'lengthM':
    case 'thicknessUm':
    case 'count':
    case 'decimal':
    case 'money':
    case 'percent':
      return `${rangeWords(field)}, written like ${field.kind === 'count' ? '12' : '1200.5'}`;
    case 'date':
      return 'a day written yyyy-mm-dd, such as 2027-03-17';
    case 'choice':
      return `one of: ${(field.options ?? []).join(', ')}`;
    case 'reference':
      return `the code of one of the ${field.to ?? 'entries'}`;
    default:
      return `a value for ${field.label.toLowerCase()}`;
  }
}

/** A value as edge text; reading it again gives the same value. Null and undefined are empty. */
export function printField(field: Field, value: unknown): string {
  if (value === null || value === undefined) return '';
  switch (field.kind) {
    case 'widthMm':
      return printNumber(umToMm(value as number));
    case 'lengthM':
      return printNumber(mmToM(value as number));
    case 'thicknessUm':
    case 'count':
    case 'decimal':
    case 'money':
    case 'percent':
      return printNumber(value as number);
    case 'yesNo':
      return value ? 'yes' : 'no';
    case 'references':
    case 'dates':
      return (value as string[]).join('; ');
    case 'rollMap':
      return printRollMap(value as BadPlace[]);
    default:
      return String(value);
  }
}
