// Numbers as people and spreadsheets write them. A number that could mean two things is refused, not guessed:
// "1,200" is 1200 to one reader and 1.2 to the next, and a roll of 1.2 m would spoil a plan in silence.

/** Which sign parts whole from fraction: known for a file, or `auto` for a form, where the point is the house style. */
export type Decimal = '.' | ',' | 'auto' | 'unknown';

const GROUPED = { '.': /^[1-9]\d{0,2}(,\d{3})+(\.\d*)?$/, ',': /^[1-9]\d{0,2}(\.\d{3})+(,\d*)?$/ };
const PLAIN = { '.': /^(\d+\.?\d*|\.\d+)$/, ',': /^(\d+,?\d*|,\d+)$/ };

/** Reads a number; a string is the reason why it cannot be read. Spaces and apostrophes may group thousands. */
export function readNumber(text: string, decimal: Decimal): number | string {
  const tidy = text.trim().replace(/(?<=\d)[\s'’](?=\d{3})/g, '');
  const negative = /^[-−]\s*/.exec(tidy);
  const digits = tidy.slice(negative?.[0].length ?? 0).replace(/^\+/, '');
  if (!/\d/.test(digits) || /[^\d.,]/.test(digits)) return `"${text}" is not a number`;
  const sign = decimal === '.' || decimal === ',' ? decimal : signOf(digits, decimal);
  if (sign === 'two-meanings') {
    const [whole, part] = digits.split(/[.,]/) as [string, string];
    return `"${text}" could mean ${whole}${part} or ${whole}.${part}`;
  }
  const value = readWith(digits, sign);
  if (value === undefined)
    return `"${text}" is not a number written with a decimal ${sign === '.' ? 'point' : 'comma'}`;
  return negative ? -value : value;
}

function readWith(digits: string, sign: '.' | ','): number | undefined {
  const group = sign === '.' ? ',' : '.';
  if (PLAIN[sign].test(digits)) return Number(digits.replace(',', '.'));
  if (GROUPED[sign].test(digits)) return Number(digits.replaceAll(group, '').replace(',', '.'));
  return undefined;
}

function signOf(digits: string, decimal: 'auto' | 'unknown'): '.' | ',' | 'two-meanings' {
  const point = digits.lastIndexOf('.');
  const comma = digits.lastIndexOf(',');
  if (point >= 0 && comma >= 0) return point > comma ? '.' : ',';
  if (point < 0 && comma < 0) return '.';
  const sign = point >= 0 ? '.' : ',';
  if (digits.split(sign).length > 2) return sign === '.' ? ',' : '.';
  if (!/^[1-9]\d{0,2}[.,]\d{3}$/.test(digits)) return sign;
  return decimal === 'auto' && sign === '.' ? '.' : 'two-meanings';
}

/** What one number of a file tells about its decimal sign: a clear point, a clear comma, or nothing. */
export function decimalEvidence(text: string): '.' | ',' | undefined {
  const digits = text.trim().replace(/^[-+−]/, '');
  if (/[^\d.,\s]/.test(digits) || !/[.,]/.test(digits)) return undefined;
  const sign = signOf(digits, 'unknown');
  return sign === 'two-meanings' ? undefined : sign;
}

/** Shortest decimal form with a point, without exponent or thousands signs: 83, 0.5, 24000. */
export function printNumber(value: number): string {
  const text = String(value);
  return text.includes('e') ? value.toFixed(12).replace(/\.?0+$/, '') : text;
}
