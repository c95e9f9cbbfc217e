// A customer's question as one line of text: `40 x 83 mm x 300 m CP-10 by 17 Mar +/-10 %`, its parts in any order.
// Friendly about order and spelling, strict about meaning: a size without its unit, two widths, inches or a thickness are
// refused with what would be right. Out come the texts of the form's fields, so that both ways obey the same rules.
import { readDay } from './dayText.ts';
import { printNumber, readNumber } from './numberText.ts';
import type { Fault } from './resource.ts';
import type { IsoDate } from './units.ts';

export type QuestionField = 'product' | 'width' | 'length' | 'rolls' | 'date' | 'tolerance';
export interface LineReading {
  /** Texts of the fields that the line gives. */
  given: Partial<Record<QuestionField, string>>;
  faults: Fault[];
}

export const LINE_RIGHT = '40 x 83 mm x 300 m CP-10 by 17 Mar +/-10 %';
const NUMBER = String.raw`\d(?:[\d.,'’]|[\s](?=\d{3}(?!\d)))*`;
const TOLERANCE = new RegExp(
  String.raw`(?:(?:\+\s?\/?\s?[-−]|±|plus\/minus|plus or minus)\s*${NUMBER}|[+−-]\s*${NUMBER}(?:\s*%?\s*\/?\s*[+−-]\s*${NUMBER})?)\s*(?:%|percent\b)`,
  'i',
);
const DATE =
  /(?:\b(?:by|until|before|due|on|for)\s+|\s(?=in \d+ (?:day|week)))(?<day>(?:in \d+ (?:days?|weeks?)|\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\/\d{1,2}(?:\/\d{2,4})?|\d{1,2}\.\s?\d{1,2}\.?(?:\s?\d{4})?|\d{1,2}(?:st|nd|rd|th)?\.?\s+[a-z]+\.?(?:,?\s+\d{4})?|[a-z]+\.?\s+\d{1,2}(?:st|nd|rd|th)?(?:,?\s+\d{4})?|[a-z]+))(?=$|[\s,;])/i;
const SIZE = new RegExp(
  String.raw`(?<![\w.,-])(?<number>${NUMBER})\s*(?<unit>["%]|[a-zµμ]+)?(?![\w-])`,
  'gi',
);

/** Fields by unit; what must be multiplied to come to mm or m. */
const UNITS: Record<string, { field: 'width' | 'length' | 'rolls'; times: number }> = {
  mm: { field: 'width', times: 1 },
  cm: { field: 'width', times: 10 },
  um: { field: 'width', times: 0.001 },
  m: { field: 'length', times: 1 },
  km: { field: 'length', times: 1000 },
  ...Object.fromEntries(
    ['metre', 'metres', 'meter', 'meters'].map((u) => [u, { field: 'length', times: 1 }]),
  ),
  ...Object.fromEntries(
    ['roll', 'rolls', 'reel', 'reels', 'pc', 'pcs', 'piece', 'pieces'].map((u) => [
      u,
      { field: 'rolls', times: 1 },
    ]),
  ),
};
const OTHER_UNITS: Record<string, string> = {
  in: 'in inches; 1 in is 25.4 mm',
  inch: 'in inches; 1 in is 25.4 mm',
  inches: 'in inches; 1 in is 25.4 mm',
  '"': 'in inches; 1 in is 25.4 mm',
  ft: 'in feet; 1 ft is 0.3048 m',
  feet: 'in feet; 1 ft is 0.3048 m',
  yd: 'in yards; 1 yd is 0.9144 m',
  kg: 'a mass; ask for rolls',
  '%': 'percent; write a tolerance as +/-10 %',
};
const SMALLEST_WIDTH_MM = 1;

/** Reads the line. `products` are the codes there are; `today` is the day from which dates count. */
export function readQuestionLine(line: string, products: readonly string[], today: IsoDate): LineReading {
  const reading: LineReading = { given: {}, faults: [] };
  let rest = ` ${line.replace(/\s+/g, ' ').trim()} `;
  rest = takeTolerance(rest, reading);
  rest = takeProduct(rest, products, reading);
  rest = takeDate(rest, today, reading);
  rest = takeSizes(rest, reading);
  const left = rest.replace(/[x×*,;@]|\b(of|at|each|please|product|film|rolls?|and|a)\b/gi, ' ').trim();
  if (left !== '' && reading.faults.length === 0)
    reading.faults.push(
      faultOf(left, `"${left.slice(0, 40)}" is not understood`, `a line such as ${LINE_RIGHT}`),
    );
  return reading;
}

const faultOf = (value: string, wrong: string, right: string): Fault => ({
  field: 'line',
  value,
  wrong,
  right,
});

function takeTolerance(rest: string, reading: LineReading): string {
  const found = TOLERANCE.exec(rest);
  if (!found) return rest;
  reading.given.tolerance = found[0].trim();
  return rest.replace(found[0], ' ');
}

function takeProduct(rest: string, products: readonly string[], reading: LineReading): string {
  const words = rest.split(/[\s;]+/).map((word) => word.replace(/[,.]+$/, ''));
  const named = words.flatMap((word) => {
    const code = products.find((one) => one.toLowerCase() === word.toLowerCase());
    return code ? [{ word, code }] : [];
  });
  const first = named[0];
  if (new Set(named.map(({ code }) => code)).size > 1)
    reading.faults.push(
      faultOf(
        rest.trim(),
        `it names two products, ${named.map(({ code }) => code).join(' and ')}`,
        'one product a question',
      ),
    );
  if (first) {
    reading.given.product = first.code;
    return without(rest, first.word);
  }
  const like = words.find((word) => /^[a-z]{2,}[-_.]?\d[\w-]*$/i.test(word));
  if (!like) return rest;
  reading.given.product = like;
  return without(rest, like);
}

const without = (rest: string, word: string): string =>
  ` ${rest
    .split(' ')
    .filter((one) => one.replace(/[,;.]+$/, '') !== word)
    .join(' ')} `;

function takeDate(rest: string, today: IsoDate, reading: LineReading): string {
  const found = DATE.exec(rest);
  const bare = found ? undefined : /(?<![\w-])\d{4}-\d{1,2}-\d{1,2}(?![\w-])/.exec(rest);
  const text = found?.groups?.day ?? bare?.[0];
  if (text === undefined) return rest;
  const day = readDay(text, today);
  if (day.ok) reading.given.date = day.day;
  else reading.faults.push({ field: 'date', value: text, wrong: day.wrong, right: day.right });
  return rest.replace((found ?? bare)?.[0] as string, ' ');
}

function takeSizes(rest: string, reading: LineReading): string {
  const bare: string[] = [];
  const found: (Fault | undefined)[] = [];
  const spread = rest.replace(/(?<=\d\s?(?:[uµμck]?m|mm)?)\s?[x×*]\s?(?=\d|\s)/gi, ' x ');
  const left = spread.replace(SIZE, (whole, digits: string, unit: string | undefined) => {
    const number = digits.replace(/[.,]+$/, '');
    const name = unit
      ?.toLowerCase()
      .replace(/^[µμ]m$/, 'um')
      .replace(/^micron(s)?$/, 'um');
    if (name === undefined || name === 'x' || name === 'of') bare.push(number);
    else if (name === 'by' || name === 'each') return whole;
    else found.push(takeSize(number, name, reading));
    return ' ';
  });
  found.push(takeBare(bare, reading));
  reading.faults.push(...found.filter((one) => one !== undefined));
  return left;
}

function takeSize(number: string, unit: string, reading: LineReading): Fault | undefined {
  const known = UNITS[unit];
  const size = `${number} ${unit}`;
  if (!known) {
    const what = OTHER_UNITS[unit];
    return faultOf(
      size,
      what ? `${size} is ${what}` : `"${unit}" of ${size} is not a unit`,
      'widths in mm, lengths in m',
    );
  }
  const value = readNumber(number, 'auto');
  if (typeof value === 'string')
    return faultOf(size, value, 'numbers without thousands signs, such as 1200 or 0.5');
  if (known.field === 'width' && value * known.times < SMALLEST_WIDTH_MM)
    return faultOf(
      size,
      `${size} is a thickness, not a width`,
      'the width in mm; the product says how thick',
    );
  const text = printNumber(Number((value * known.times).toFixed(6)));
  const before = reading.given[known.field];
  if (before !== undefined)
    return faultOf(
      size,
      known.field === 'rolls'
        ? `it asks for ${before} and for ${text} rolls`
        : `it has two ${known.field}s, ${before} and ${text} ${known.field === 'width' ? 'mm' : 'm'}`,
      'one width in mm, one finished length in m, one number of rolls',
    );
  reading.given[known.field] = text;
  return undefined;
}

/** One number without a unit is the rolls; more of them could be anything. */
function takeBare(bare: readonly string[], reading: LineReading): Fault | undefined {
  const [first, second] = bare;
  if (first === undefined) return undefined;
  if (second !== undefined || reading.given.rolls !== undefined)
    return faultOf(
      bare.join(' x '),
      `${second ?? first} has no unit`,
      `mm behind the width and m behind the length, such as ${LINE_RIGHT}`,
    );
  reading.given.rolls = first;
  return undefined;
}
