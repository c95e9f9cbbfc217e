// What a roll label carries: the GS1 check digit (modulo 10, weights 3 and 1 from the right) and the element string of
// application identifier (8001) for roll products. Source: GS1 General Specifications. Whole mm and m only.

/** The check digit that completes a GS1 number (SSCC, GTIN) given without it. */
export function gs1CheckDigit(digits: string): number {
  if (!/^\d+$/.test(digits)) throw new Error(`a GS1 number has digits only, not ${JSON.stringify(digits)}`);
  const sum = [...digits]
    .reverse()
    .reduce((total, digit, place) => total + Number(digit) * (place % 2 ? 1 : 3), 0);
  return (10 - (sum % 10)) % 10;
}

/** The 14 digits of (8001): width mm (4), length m (5), core mm (3, rounded down), winding (1), splices (1). */
export function gs1RollProduct(roll: {
  widthMm: number;
  lengthM: number;
  coreInsideDiameterMm: number;
  winding: 'face-out' | 'face-in' | 'undefined';
  /** 9 stands for unknown. */
  splices: number;
}): string {
  const winding = { 'face-out': '0', 'face-in': '1', undefined: '9' }[roll.winding];
  return [
    wholeDigits(roll.widthMm, 4),
    wholeDigits(roll.lengthM, 5),
    wholeDigits(roll.coreInsideDiameterMm, 3),
    winding,
    wholeDigits(roll.splices, 1),
  ].join('');
}

function wholeDigits(value: number, digits: number): string {
  const text = String(Math.floor(value)).padStart(digits, '0');
  if (!(value >= 0) || text.length !== digits) throw new Error(`${value} does not fit ${digits} digits`);
  return text;
}

/** What a company prefix may be: 7 to 10 digits, given out by a GS1 member organisation. */
export const COMPANY_PREFIX = /^\d{7,10}$/;
/** Prefix 952 is set aside for demonstrations and examples (GS1 list of prefixes, from memory): never for trade. */
export const DEMO_COMPANY_PREFIX = '9521234';
export const isDemoPrefix = (prefix: string): boolean => prefix.startsWith('952');

/** Serial shipping container code, 18 digits: extension digit, company prefix, serial number, check digit. */
export function sscc(companyPrefix: string, serial: number): string {
  const digits = `1${companyPrefix}${wholeDigits(serial, 16 - companyPrefix.length)}`;
  return `${digits}${gs1CheckDigit(digits)}`;
}

/** GTIN-14 of a product of variable measure: 9, company prefix, item number, check digit. */
export function variableGtin14(companyPrefix: string, itemNumber: number): string {
  const digits = `9${companyPrefix}${wholeDigits(itemNumber, 12 - companyPrefix.length)}`;
  return `${digits}${gs1CheckDigit(digits)}`;
}

/** Up to 20 characters of GS1 character set 82, without brackets, which the written form uses for its identifiers. */
const CARRIED = /^[A-Za-z0-9!"%&'*+,\-./:;<=>?_]{1,20}$/;
export const gs1Carries = (text: string): boolean => CARRIED.test(text);
