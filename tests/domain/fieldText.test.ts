// Values as text and back: numbers of every writing, dates, roll maps; and that printing then reading changes nothing.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseField, printField } from '../../src/domain/fieldText.ts';
import { decimalEvidence, readNumber } from '../../src/domain/numberText.ts';
import type { Field } from '../../src/domain/resource.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import { type BadPlace, parseRollMap, placesOnRoll, printRollMap } from '../../src/domain/rollMap.ts';

const width: Field = {
  name: 'widthUm',
  column: 'width_um',
  label: 'Width',
  unit: 'mm',
  kind: 'widthMm',
  min: 0,
  max: 10_000,
};
const length: Field = { ...width, name: 'lengthMm', unit: 'm', kind: 'lengthM', max: 1_000_000 };

describe('numbers as text', () => {
  it.each([
    ['83', '.', 83],
    ['83.5', '.', 83.5],
    ['1,234.5', '.', 1234.5],
    ['1,234,567', '.', 1_234_567],
    ['83,5', ',', 83.5],
    ['1.234,5', ',', 1234.5],
    ['1.234', ',', 1234],
    ['0.5', 'auto', 0.5],
    ['0,125', 'auto', 0.125],
    ['1.234', 'auto', 1.234],
    ['1 234,5', 'auto', 1234.5],
    ["1'234.5", 'auto', 1234.5],
    ['1\u202f234', 'auto', 1234],
    ['-4', 'auto', -4],
    ['\u22124,5', 'auto', -4.5],
    ['1.234.567', 'auto', 1_234_567],
    ['.5', 'auto', 0.5],
  ] as const)('reads %j with decimal %s as %d', (text, decimal, value) => {
    expect(readNumber(text, decimal)).toBe(value);
  });

  it.each([
    ['1,234', 'auto'],
    ['1.234', 'unknown'],
    ['83.5', ','],
    ['1,2345', '.'],
    ['1.2.3', 'auto'],
    ['12 34', 'auto'],
    ['1e5', 'auto'],
    ['five', 'auto'],
    ['', 'auto'],
    ['.', 'auto'],
    ['--1', 'auto'],
    ['0x10', 'auto'],
    ['Infinity', 'auto'],
    ['1,23,456', '.'],
  ] as const)('refuses %j with decimal %s', (text, decimal) => {
    expect(typeof readNumber(text, decimal)).toBe('string');
  });

  it('takes only clear cases as evidence of the decimal sign', () => {
    expect(['83,5', '1.234,5', '83.5', '1,234.5', '1,234', '1234', 'x,5'].map(decimalEvidence)).toEqual([
      ',',
      ',',
      '.',
      '.',
      undefined,
      undefined,
      undefined,
    ]);
  });
});

describe('fields as text', () => {
  it('reads a decimal width as whole um and a length as whole mm, and prints them back', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 10_000_000 }), (inner) => {
        for (const field of [width, length]) {
          const read = parseField(field, printField(field, inner), { decimal: '.' });
          expect(read).toEqual({ ok: true, value: inner });
        }
      }),
    );
  });

  it('says what is wrong and what would be right', () => {
    const read = parseField({ ...width, exclusiveMin: true }, '0', { decimal: 'auto' });
    expect(read).toEqual({
      ok: false,
      fault: {
        field: 'widthUm',
        column: 'Width (mm)',
        value: '0',
        wrong: 'it is zero',
        right: 'a number above 0 up to 10000 mm',
      },
    });
    expect(parseField({ ...width, exclusiveMin: true }, '0.0001', { decimal: 'auto' })).toMatchObject({
      ok: false,
    });
  });

  it.each(['2027-02-29', '2027-13-01', '1/2/2027', '31.04.2027', 'tomorrow', '20270301'])(
    'refuses the day %s',
    (text) => {
      const due = RESOURCES.orders.fields.find((field) => field.name === 'dueOn') as Field;
      expect(parseField(due, text, { decimal: 'auto' })).toMatchObject({ ok: false });
    },
  );

  it.each(['A B', 'x;y', ' ', '#1', 'a'.repeat(41), '<b>', '=1'])('refuses the code %j', (text) => {
    const code = RESOURCES.rolls.fields[0] as Field;
    expect(parseField(code, text, { decimal: 'auto' })).toMatchObject({ ok: false });
  });

  it('uses every field name and column once in each resource', () => {
    for (const { fields } of Object.values(RESOURCES)) {
      expect(new Set(fields.map((field) => field.name)).size).toBe(fields.length);
      expect(new Set(fields.map((field) => field.column)).size).toBe(fields.length);
      expect(new Set(fields.map((field) => field.label)).size).toBe(fields.length);
    }
  });
});

describe('roll maps as text', () => {
  const place: fc.Arbitrary<BadPlace> = fc
    .tuple(
      fc.nat(1e7),
      fc.option(fc.integer({ min: 2, max: 1e7 })),
      fc.nat(1e6),
      fc.option(fc.integer({ min: 1, max: 1e6 })),
    )
    .map(([fromMm, longMm, fromUm, wideUm]) => ({
      fromMm,
      toMm: longMm === null ? null : fromMm + longMm,
      fromUm,
      toUm: wideUm === null ? null : fromUm + wideUm,
      kind: 'gel, small',
    }));

  it('read what they print', () => {
    fc.assert(
      fc.property(fc.array(place), (places) => {
        expect(parseRollMap(printRollMap(places))).toEqual({ ok: true, value: places });
      }),
    );
  });

  it.each([
    '0-2600 m, 300-306 mm',
    '0-2600, streak',
    '300-306 mm, 0-2600 m, streak',
    '2600-0 m, full width, streak',
    '0-9 m, 5 mm, streak',
    '0-9 m, 5-6 mm, ',
    'everywhere, full width, dirt',
  ])('refuse %j with an example of what would be right', (text) => {
    const read = parseRollMap(`\n${text}`);
    expect(read).toMatchObject({ ok: false, right: expect.stringContaining('0-2600 m, 300-306 mm, streak') });
  });

  it('lie on the roll that they belong to, cut off at its ends', () => {
    const read = parseRollMap(
      'full length, 1000-end mm, baggy edge\n900-2000 m, full width, skip\n1500 m, full width, flag',
    );
    if (!read.ok) throw new Error(read.wrong);
    expect(placesOnRoll(read.value, { widthUm: 1_050_000, lengthMm: 1_000_000 })).toEqual([
      { fromMm: 0, toMm: 1_000_000, fromUm: 1_000_000, toUm: 1_050_000, kind: 'baggy edge' },
      { fromMm: 900_000, toMm: 1_000_000, fromUm: 0, toUm: 1_050_000, kind: 'skip' },
    ]);
  });
});
