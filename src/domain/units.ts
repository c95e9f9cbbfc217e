// Units as types: whole micrometres across the web, whole millimetres along it, decimals only at the edges.
// Areas are added in square metres as doubles: a 2.5 m x 20 km web is 5e13 um*mm, far beyond 32 bits.

declare const unit: unique symbol;
/** Whole micrometres across the web (widths, positions from the datum edge, thicknesses are plain um). */
export type Um = number & { readonly [unit]: 'um' };
/** Whole millimetres along the web (lengths, positions from the outer end). */
export type Mm = number & { readonly [unit]: 'mm' };
/** A calendar day, ISO 8601: yyyy-mm-dd. */
export type IsoDate = string & { readonly [unit]: 'date' };

export const um = (value: number): Um => value as Um;
export const mm = (value: number): Mm => value as Mm;

/** Decimal millimetres to whole micrometres, rounded to the nearest. */
export const mmToUm = (valueMm: number): Um => Math.round(valueMm * 1000) as Um;
/** Whole micrometres to decimal millimetres. */
export const umToMm = (value: number): number => value / 1000;
/** Decimal metres to whole millimetres, rounded to the nearest. */
export const mToMm = (valueM: number): Mm => Math.round(valueM * 1000) as Mm;
/** Whole millimetres to decimal metres. */
export const mmToM = (value: number): number => value / 1000;
/** Area of a web in m2 from its width in um and its length in mm. */
export const areaM2 = (widthUm: number, lengthMm: number): number => (widthUm / 1e6) * (lengthMm / 1e3);

const DAY_MS = 86_400_000;
const ISO_DATE = /^\d{4}-\d{2}-\d{2}$/;

/** True for an existing calendar day written yyyy-mm-dd (2027-02-30 is not one). */
export function isIsoDate(text: string): text is IsoDate {
  return (
    ISO_DATE.test(text) &&
    !Number.isNaN(Date.parse(text)) &&
    new Date(Date.parse(text)).toISOString().startsWith(text)
  );
}
/** The day `days` after `date`. */
export function addDays(date: IsoDate, days: number): IsoDate {
  return new Date(Date.parse(date) + days * DAY_MS).toISOString().slice(0, 10) as IsoDate;
}
/** The day so many months after `date`; the last day of the month where that month is shorter. */
export function addMonths(date: IsoDate, months: number): IsoDate {
  const [year, month, day] = date.split('-').map(Number) as [number, number, number];
  const last = new Date(Date.UTC(year, month + months, 0)).getUTCDate();
  const then = Date.UTC(year, month - 1 + months, Math.min(day, last));
  return new Date(then).toISOString().slice(0, 10) as IsoDate;
}
/** Whole days from `from` to `to`, negative when `to` is earlier. */
export function daysBetween(from: IsoDate, to: IsoDate): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY_MS);
}
