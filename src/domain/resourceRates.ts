// Exchange rates that the purchaser keeps: what one unit of a currency is worth in the plant's, from a day on. The newest
// rate of a day holds on it; a currency without one cannot be compared, and offers in it are named, not guessed.
import { CURRENCY, type Fault, type Field, type Resource, type Row } from './resource.ts';

/** The three capital letters of ISO 4217. */
export const currencyField = (more: Partial<Field> = {}): Field => ({
  name: 'currency',
  column: 'currency',
  label: 'Currency',
  kind: 'text',
  required: true,
  default: CURRENCY,
  help: `Three capital letters, such as USD; a currency other than ${CURRENCY} needs an exchange rate.`,
  ...more,
});

/** What is wrong with a currency as typed, as far as its letters tell. */
export function currencyFaults(row: Row): Fault[] {
  const value = String(row.currency ?? '');
  if (/^[A-Z]{3}$/.test(value)) return [];
  const right = `three capital letters as in ISO 4217, such as ${CURRENCY} or USD`;
  return [{ field: 'currency', value, wrong: `"${value}" is not a currency`, right }];
}

export const rates: Resource = {
  name: 'rates',
  singular: 'exchange rate',
  plural: 'exchange rates',
  key: 'code',
  about: `What one unit of a currency is worth in ${CURRENCY}, from a day on. Offers in that currency are compared by the rate that holds today.`,
  check: checkRate,
  fields: [
    { name: 'code', column: 'code', label: 'Exchange rate', kind: 'code', required: true, inList: true },
    currencyField({
      default: undefined,
      inList: true,
      filter: true,
      help: 'Three capital letters, such as USD.',
    }),
    {
      name: 'fromOn',
      column: 'from_on',
      label: 'Holds from',
      kind: 'date',
      required: true,
      inList: true,
      filter: true,
      help: 'It holds until a newer one.',
    },
    {
      name: 'rate',
      column: 'rate',
      label: 'Worth of one unit',
      unit: CURRENCY,
      kind: 'decimal',
      required: true,
      min: 0,
      exclusiveMin: true,
      max: 1e6,
      inList: true,
    },
    { name: 'note', column: 'note', label: 'Note', kind: 'note', inList: true },
  ],
};

function checkRate(row: Row): Fault[] {
  if (row.currency !== CURRENCY) return currencyFaults(row);
  const wrong = `${CURRENCY} is the plant's own currency`;
  return [{ field: 'currency', value: CURRENCY, wrong, right: 'another currency' }];
}
