// Bar codes of labels as one SVG path, black modules on nothing, quiet zone included, measured in modules: give the svg
// viewBox="0 0 width height" and a size in mm that makes a module 0.25 mm or more. Symbols by bwip-js:
// Code 128 (ISO/IEC 15417), Data Matrix (ISO/IEC 16022); the gs1 kinds take "(01)09501101530003(10)AB" and check it.
import bwipjs from 'bwip-js/node';

export type Symbology = 'code128' | 'gs1-128' | 'datamatrix' | 'gs1datamatrix';

export interface Barcode {
  /** In modules, quiet zone included. */
  width: number;
  height: number;
  path: string;
}

/** Quiet zones in modules: ten beside Code 128, one round Data Matrix and one to spare (both standards, from memory). */
const QUIET_BARS = 10;
const QUIET_MATRIX = 2;

interface Bars {
  /** Widths in modules: bar, space, bar, ... */
  sbs: number[];
}
interface Matrix {
  /** Row by row, 1 is black. */
  pixs: number[];
  pixx: number;
  pixy: number;
}

/** The symbol of `text`; throws when the symbology cannot carry it. `tall`: height of bars in modules. */
export function barcode(symbology: Symbology, text: string, tall = 40): Barcode {
  const [symbol] = bwipjs.raw(symbology, text, {}) as unknown as [Bars | Matrix];
  return 'sbs' in symbol ? ofBars(symbol, tall) : ofMatrix(symbol);
}

function ofBars({ sbs }: Bars, tall: number): Barcode {
  let x = QUIET_BARS;
  let path = '';
  sbs.forEach((width, index) => {
    if (index % 2 === 0) path += `M${x} 0h${width}v${tall}h-${width}z`;
    x += width;
  });
  return { width: x + QUIET_BARS, height: tall, path };
}

/** Neighbours in a row make one rectangle, so that no hairline shows between them in print. */
function ofMatrix({ pixs, pixx, pixy }: Matrix): Barcode {
  let path = '';
  for (let y = 0; y < pixy; y++) {
    const row = pixs.slice(y * pixx, (y + 1) * pixx).join('');
    for (const { index, 0: run } of row.matchAll(/1+/g))
      path += `M${QUIET_MATRIX + index} ${QUIET_MATRIX + y}h${run.length}v1h-${run.length}z`;
  }
  return { width: pixx + 2 * QUIET_MATRIX, height: pixy + 2 * QUIET_MATRIX, path };
}
