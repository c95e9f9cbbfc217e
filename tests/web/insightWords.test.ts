// Insight in plain words: numbers, ranges and where they come from. Invented figures.
import { describe, expect, it } from 'vitest';
import type { Insight } from '../../src/domain/insight.ts';
import { insightSections } from '../../src/web/plans/insightWords.ts';

const exactly = (value: number) => ({ least: value - 1e-7, most: value + 1e-7 });
const insight = (change: Partial<Insight>): Insight => ({
  currency: 'EUR',
  base: exactly(5399),
  short: false,
  lines: [],
  widths: [],
  complete: true,
  ...change,
});
const wordsOf = (change: Partial<Insight>) =>
  insightSections(insight(change)).flatMap(({ sentences }) =>
    sentences.map(({ of, words }) => `${of}: ${words}`),
  );

describe('insight in words', () => {
  it('says what one more roll costs, the dearest first', () => {
    const lines = [
      { what: 'one-more-roll' as const, order: 'A', costs: 4.676 },
      { what: 'one-more-roll' as const, order: 'B', costs: 17.944 },
    ];
    expect(wordsOf({ lines })).toEqual([
      'B: One more roll would cost 17.94 EUR.',
      'A: One more roll would cost 4.68 EUR.',
    ]);
  });
  it.each([
    [exactly(0), 'nothing'],
    [exactly(12.3), '12.30 EUR'],
    [{ least: -0.5, most: 2 }, 'at most 2.00 EUR'],
    [{ least: 1, most: 2 }, '1.00 to 2.00 EUR'],
  ])('writes the range %j as %s', (saves, words) => {
    const lines = [{ what: 'one-more-strip' as const, slitter: 'SL-1', limit: 5, saves }];
    expect(wordsOf({ lines })).toEqual([`SL-1: 6 strips across instead of 5 would save ${words}.`]);
  });
  it('puts all orders before each of them', () => {
    const lines = [
      { what: 'tolerance' as const, order: 'A', saves: exactly(9) },
      { what: 'tolerance' as const, saves: exactly(8) },
    ];
    expect(wordsOf({ lines })[0]).toBe(
      'All orders: Their tolerances together save 8.00 EUR against exact quantities.',
    );
  });
  it('names the best width and the next, and says when none helps', () => {
    const width = (widthMm: number, cost: number) => ({ widthMm, cost: exactly(cost), planned: true });
    const study = {
      item: 'BF-01',
      besideMm: 110,
      lengthM: 1,
      without: { cost: exactly(517), planned: true },
    };
    const found = insightSections(
      insight({ widths: [{ ...study, candidates: [width(115, 488.5), width(95, 489)] }] }),
    );
    expect(found[0]?.sentences[0]).toEqual({
      of: 'BF-01',
      words:
        'Of other widths beside 110 mm, at the same price per m², 115 mm would save most: 28.50 EUR on these orders; then 95 mm (28.00 EUR).',
      origin: 'difference of two plans each; 2 widths from 95 to 115 mm tried',
    });
    expect(wordsOf({ widths: [{ ...study, candidates: [width(100, 517)] }] })[0]).toMatch(
      /^BF-01: No other width/,
    );
  });
  it('leaves out what there is nothing to say about', () => expect(insightSections(insight({}))).toEqual([]));
});
