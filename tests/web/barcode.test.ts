// The drawn bars are read back with a table of Code 128 (ISO/IEC 15417, from memory), independent of what drew them.
import { describe, expect, test } from 'vitest';
import { barcode } from '../../src/web/sending/barcode.ts';

/** Bar and space widths of the values 0 to 105; 103 to 105 start, 99 to 101 change the set. */
const CODE_128 =
  `212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231
113222 123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321
232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 313121
211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224 111422 121124
121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241
114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 114311 411113 411311 113141
114131 311141 411131 211412 211214 211232`.split(/\s+/);

/** Widths of the bars and spaces of a drawn symbol. */
function widthsOf(path: string): number[] {
  const bars = [...path.matchAll(/M(\d+) 0h(\d+)/g)].map(
    ([, x, width]) => [Number(x), Number(width)] as const,
  );
  return bars.flatMap(([x, width], i) => {
    const next = bars[i + 1];
    return next ? [width, next[0] - x - width] : [width];
  });
}

function read(path: string): string {
  const widths = widthsOf(path).join('');
  expect(widths.slice(-7)).toBe('2331112');
  const values = (widths.slice(0, -7).match(/.{6}/g) ?? []).map((pattern) => CODE_128.indexOf(pattern));
  expect(values).not.toContain(-1);
  const check = values.pop();
  expect(check).toBe(values.reduce((sum, value, i) => sum + value * Math.max(1, i), 0) % 103);
  let set = ['A', 'B', 'C'][values[0]! - 103]!;
  let text = '';
  for (const value of values.slice(1)) {
    if (value >= 99 && value <= 101 && !(set === 'C' && value === 99))
      set = { 99: 'C', 100: 'B', 101: 'A' }[value]!;
    else text += set === 'C' ? String(value).padStart(2, '0') : String.fromCharCode(value + 32);
  }
  return text;
}

describe('a bar code', () => {
  test.each(['R7030', 'F0001234', 'B-2027/0301.4', '1234567890', 'a roll 7'])(
    'of %s is read back as it',
    (text) => {
      expect(read(barcode('code128', text).path)).toBe(text);
    },
  );

  test('leaves ten modules free on both sides', () => {
    const { width, path } = barcode('code128', 'R7030');
    const used = widthsOf(path).reduce((sum, one) => sum + one, 0);
    expect(path).toMatch(/^M10 0/);
    expect(width).toBe(used + 20);
  });

  test('of Data Matrix has its solid left and lower edge, and stays inside its quiet zone', () => {
    const { width, height, path } = barcode('datamatrix', 'F0001234');
    expect(width).toBe(height);
    const rows = [...path.matchAll(/M(\d+) (\d+)h(\d+)/g)].map(
      (m) => m.slice(1).map(Number) as [number, number, number],
    );
    const left = rows.filter(([x]) => x === 2).map(([, y]) => y);
    expect(new Set(left).size).toBe(height - 4);
    expect(rows.at(-1)).toEqual([2, height - 3, width - 4]);
    expect(Math.max(...rows.map(([x, , run]) => x + run))).toBe(width - 2);
  });

  test('refuses GS1 content with a wrong check digit', () => {
    expect(() => barcode('gs1-128', '(01)09501101530004')).toThrow(/check/i);
    expect(barcode('gs1-128', '(01)09501101530003(10)ABC').path).toMatch(/^M10 0/);
  });
});
