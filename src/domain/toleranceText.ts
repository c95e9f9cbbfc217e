// A quantity tolerance as customers write it: +/-10 %, +5/-10 %, +10 %, -5 %; empty is none. "10 %" alone is refused: it
// does not say whether more or fewer rolls are taken.
import { readNumber } from './numberText.ts';

export type ToleranceReading =
  | { ok: true; overPct: number; underPct: number }
  | { ok: false; wrong: string; right: string };

const TOLERANCE_RIGHT = '+/-10 %, +5/-10 %, +10 % or -5 %; empty for exactly so many';
const MOST_OVER = 1000;

/** "+/-10 %" and the like; empty is none. */
export function readTolerance(text: string): ToleranceReading {
  const tidy = text
    .trim()
    .replaceAll('−', '-')
    .replace(/\s*(%|percent)/g, '')
    .replace(/\s+/g, '');
  if (tidy === '') return { ok: true, overPct: 0, underPct: 0 };
  const both = /^(?:\+\/?-|±|plus\/minus|plusorminus)([\d.,]+)$/i.exec(tidy);
  const two = /^\+([\d.,]+)\/?-([\d.,]+)$/.exec(tidy) ?? reversed(/^-([\d.,]+)\/?\+([\d.,]+)$/.exec(tidy));
  const one = /^([+-])([\d.,]+)$/.exec(tidy);
  const over = both?.[1] ?? two?.[1] ?? (one?.[1] === '+' ? one[2] : '0');
  const under = both?.[1] ?? two?.[2] ?? (one?.[1] === '-' ? one[2] : '0');
  if (!both && !two && !one)
    return {
      ok: false,
      wrong: `"${text.trim()}" does not say whether more or fewer rolls`,
      right: TOLERANCE_RIGHT,
    };
  const [overPct, underPct] = [readNumber(over as string, 'auto'), readNumber(under as string, 'auto')];
  if (typeof overPct === 'string') return { ok: false, wrong: overPct, right: TOLERANCE_RIGHT };
  if (typeof underPct === 'string') return { ok: false, wrong: underPct, right: TOLERANCE_RIGHT };
  if (underPct > 100 || overPct > MOST_OVER)
    return { ok: false, wrong: `"${text.trim()}" is too much`, right: 'at most 100 % fewer, 1000 % more' };
  return { ok: true, overPct, underPct };
}

const reversed = (found: RegExpExecArray | null) => found && [found[0], found[2], found[1]];
