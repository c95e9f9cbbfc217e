// One line of a customer's question: what is understood in which spelling, and what is refused instead of guessed.
import { describe, expect, it } from 'vitest';
import { readDay } from '../../src/domain/dayText.ts';
import { type Question, questionKey, questionLine } from '../../src/domain/question.ts';
import { readQuestionLine } from '../../src/domain/questionText.ts';
import { readTolerance } from '../../src/domain/toleranceText.ts';
import type { IsoDate } from '../../src/domain/units.ts';

const TODAY = '2027-03-01' as IsoDate; // a Monday
const read = (line: string) => readQuestionLine(line, ['CP-10', 'CP-20'], TODAY);
const usual = { product: 'CP-10', width: '83', length: '300', rolls: '40' };

describe('a question as one line', () => {
  it.each([
    ['40 x 83 mm x 300 m CP-10', {}],
    ['40 x 83 mm x 300 m CP-10 by 17 Mar', { date: '2027-03-17' }],
    ['40 × 83 mm × 300 m CP-10 by 17th March 2028', { date: '2028-03-17' }],
    ['40x83mmx300m cp-10', {}],
    ['CP-10: 83mm x 300m, 40 rolls, by 2027-03-17'.replace(':', ''), { date: '2027-03-17' }],
    ['40 rolls of 83 mm x 0.3 km CP-10 due 17.3.', { date: '2027-03-17' }],
    ['40 x 8.3 cm x 300 m CP-10 before Friday', { date: '2027-03-05' }],
    ['40 x 83000 um x 300 m CP-10 in 2 weeks', { date: '2027-03-15' }],
    ['40 x 83,5 mm x 300 m CP-10', { width: '83.5' }],
    ['40 x 83 mm x 1 000 m CP-10', { length: '1000' }],
    ['40 x 83 mm x 300 m CP-10 +/-10 %', { tolerance: '+/-10 %' }],
    ['40 x 83 mm x 300 m CP-10 +5/-10 % by 17 Mar', { tolerance: '+5/-10 %', date: '2027-03-17' }],
    ['40 x 83 mm x 300 m XX-9', { product: 'XX-9' }],
  ])('%s is understood', (line, change) => {
    expect(read(line)).toEqual({ given: { ...usual, ...change }, faults: [] });
  });

  it.each([
    ['40 x 83 x 300 CP-10', '83 has no unit'],
    ['40 x 83 mm x 300 mm CP-10', 'it has two widths, 83 and 300 mm'],
    ['40 x 83 m x 300 m CP-10', 'it has two lengths, 83 and 300 m'],
    ['40 rolls 50 rolls 83 mm 300 m CP-10', 'it asks for 40 and for 50 rolls'],
    ['40 x 3 in x 300 m CP-10', '3 in is in inches; 1 in is 25.4 mm'],
    ['40 x 83 mm x 1000 ft CP-10', '1000 ft is in feet; 1 ft is 0.3048 m'],
    ['40 x 12 um x 300 m CP-10', '12 um is a thickness, not a width'],
    ['40 x 1,200 mm x 300 m CP-10', '"1,200" could mean 1200 or 1.200'],
    ['100 kg x 83 mm CP-10', '100 kg is a mass; ask for rolls'],
    ['40 x 83 mm x 300 m CP-10 10 %', '10 % is percent; write a tolerance as +/-10 %'],
    ['40 x 83 mm x 300 m CP-10 CP-20', 'it names two products, CP-10 and CP-20'],
    ['40 x 83 mm x 300 m CP-10 by 3/4', '"3/4" could be day/month or month/day'],
    ['40 x 83 mm x 300 m CP-10 by March', '"march" names no day'],
    ['40 x 83 mm x 300 m CP-10 by 31 Feb', 'there is no day "31 feb"'],
    ['hello', '"hello" is not understood'],
  ])('%s is refused: %s', (line, wrong) => {
    const { faults } = read(line);
    expect(faults[0]).toMatchObject({ wrong });
    expect(faults[0]?.right).not.toBe('');
  });

  it('reads its own line back to the same question', () => {
    const q = {
      product: 'CP-10',
      widthUm: 83_500,
      lengthMm: 300_000,
      rolls: 40,
      dueOn: '2027-03-17',
      overPct: 5,
      underPct: 10,
    };
    const { given, faults } = read(questionLine(q as Question));
    expect(faults).toEqual([]);
    expect(given).toEqual({ ...usual, width: '83.5', date: '2027-03-17', tolerance: '+5/-10 %' });
    expect(readTolerance(given.tolerance ?? '')).toEqual({ ok: true, overPct: 5, underPct: 10 });
    expect(questionKey(q as Question)).toBe(questionKey({ ...q } as Question));
  });
});

describe('a day in words', () => {
  it.each([
    ['today', '2027-03-01'],
    ['tomorrow', '2027-03-02'],
    ['monday', '2027-03-01'],
    ['Sun', '2027-03-07'],
    ['28 Feb', '2028-02-28'],
    ['29 Feb', '2028-02-29'],
    ['Mar 1', '2027-03-01'],
    ['1.4.2027', '2027-04-01'],
    ['in 10 days', '2027-03-11'],
  ])('%s is %s', (text, day) => expect(readDay(text, TODAY)).toEqual({ ok: true, day }));
});

describe('a tolerance', () => {
  it.each([
    ['', 0, 0],
    ['+/- 10 %', 10, 10],
    ['±2,5%', 2.5, 2.5],
    ['-5 %', 0, 5],
    ['+10', 10, 0],
    ['-5/+10 %', 10, 5],
  ])('%s is read', (text, overPct, underPct) =>
    expect(readTolerance(text)).toEqual({ ok: true, overPct, underPct }),
  );
  it.each(['10 %', 'ten', '+/-', '-101 %', '+2000 %'])('%s is refused', (text) =>
    expect(readTolerance(text).ok).toBe(false),
  );
});
