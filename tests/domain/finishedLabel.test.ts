// GS1 content of a finished roll's label, and the numbers of packages and products.
// Check digit: GS1 General Specifications, modulo 10 with weights 3 and 1 from the right; the digits of the example from memory.
import { describe, expect, it } from 'vitest';
import { finishedLabel, type RollToLabel } from '../../src/domain/finishedLabel.ts';
import { gs1CheckDigit, gs1RollProduct, sscc, variableGtin14 } from '../../src/domain/gs1.ts';

const PREFIX = '9521234';
const roll: RollToLabel = {
  code: 'F0000042',
  lot: 'CL-2027/07',
  widthUm: 110_000,
  lengthMm: 300_000,
  coreInsideUm: 25_400,
  splices: 0,
  itemNumber: 7,
};

describe('numbers with a check digit', () => {
  it('SSCC 37610425002123456 ends in 9', () => {
    expect(gs1CheckDigit('37610425002123456')).toBe(9);
  });

  it('a package gets 18 digits from the company prefix and a serial number', () => {
    for (const [prefix, serial] of [
      ['9521234', 1],
      ['9521234', 999_999_999],
      ['9521234567', 123_456],
    ] as const) {
      const code = sscc(prefix, serial);
      expect(code).toMatch(/^1\d{17}$/);
      expect(code.slice(1, 1 + prefix.length)).toBe(prefix);
      expect(gs1CheckDigit(code.slice(0, 17))).toBe(Number(code[17]));
    }
    expect(() => sscc('9521234567', 1_000_000)).toThrow(/does not fit 6 digits/);
  });

  it('a product of variable measure gets 14 digits that begin with 9', () => {
    const gtin = variableGtin14(PREFIX, 7);
    expect(gtin.slice(0, 13)).toBe('9952123400007');
    expect(gs1CheckDigit(gtin.slice(0, 13))).toBe(Number(gtin[13]));
    expect(() => variableGtin14(PREFIX, 100_000)).toThrow(/does not fit 5 digits/);
  });
});

describe('the label of a finished roll', () => {
  it('110 mm x 300 m on a 25.4 mm core, face out, without splice is (8001)01100030002500', () => {
    const made = {
      widthMm: 110,
      lengthM: 300,
      coreInsideDiameterMm: 25.4,
      winding: 'face-out',
      splices: 0,
    } as const;
    expect(gs1RollProduct(made)).toBe('01100030002500');
  });

  it('carries product, roll, lot and number; the winding is not known and says so', () => {
    expect(finishedLabel(roll, PREFIX)).toEqual({
      elements: `(01)${variableGtin14(PREFIX, 7)}(8001)01100030002590(10)CL-2027/07(21)F0000042`,
      leftOut: [],
    });
  });

  it.each([
    ['a lot that GS1 cannot carry', { lot: 'Los 7 (neu)' }, '(10)', /characters or a length/],
    ['a lot that is too long', { lot: 'A'.repeat(21) }, '(10)', /characters or a length/],
    ['a lot that is not there', { lot: null }, '(10)', /it has no lot/],
    ['a core that is not entered', { coreInsideUm: null }, '(8001)', /its core is not entered/],
    ['a web that is too wide', { widthUm: 10_000_000 }, '(8001)', /does not fit/],
    ['less than a metre', { lengthMm: 999 }, '(8001)', /less than 1 m/],
    ['a number that GS1 cannot carry', { code: 'Rolle Ö' }, '(21)', /characters/],
  ])('leaves out %s, and says why', (_what, change, identifier, why) => {
    const label = finishedLabel({ ...roll, ...change }, PREFIX);
    expect(label.elements).not.toContain(identifier);
    expect(label.elements).toMatch(/^\(01\)\d{14}/);
    expect(label.leftOut.join()).toMatch(why);
  });

  it('counts nine splices and more as unknown', () => {
    expect(finishedLabel({ ...roll, splices: 8 }, PREFIX).elements).toContain('(8001)01100030002598');
    expect(finishedLabel({ ...roll, splices: 12 }, PREFIX).elements).toContain('(8001)01100030002599');
  });
});
