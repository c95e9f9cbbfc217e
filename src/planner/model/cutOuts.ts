// Bad places over the full width: they are cut out of the web and the ends spliced, where the product allows splices.
// A set that meets one takes that much more of the roll. Positions are mm along the web, in the direction of the walk.
import type { Defect } from '../../domain/problem.ts';

export interface Stretch {
  fromMm: number;
  toMm: number;
}

/** A set laid over a web: where its last good metre ends, and what was cut out on the way. */
export interface LaidSet {
  endMm: number;
  cutOutMm: number;
  splices: number;
  /** It begins within a bad place, where no set need begin: the metres can be passed over without a splice. */
  beginsBad: boolean;
}

export function isFullWidth({ fromUm, toUm }: Defect, widthUm: number): boolean {
  return fromUm <= 0 && toUm >= widthUm;
}

/** The full-width bad places in order, those that touch joined: one cut takes out both. */
export function cutOutsOf(bad: Defect[], widthUm: number): Stretch[] {
  const joined: Stretch[] = [];
  const across = bad.filter((defect) => isFullWidth(defect, widthUm));
  for (const { fromMm, toMm } of across.sort((a, b) => a.fromMm - b.fromMm)) {
    const last = joined.at(-1);
    if (last && fromMm <= last.toMm) last.toMm = Math.max(last.toMm, toMm);
    else joined.push({ fromMm, toMm });
  }
  return joined;
}

/** A set of so many good mm from `startMm` on, every cut-out that it meets taken out. */
export function laySet(cutOuts: Stretch[], startMm: number, lengthMm: number): LaidSet {
  const set = { endMm: startMm + lengthMm, cutOutMm: 0, splices: 0, beginsBad: false };
  for (const { fromMm, toMm } of cutOuts) {
    if (toMm <= startMm || fromMm >= set.endMm) continue;
    const outMm = toMm - Math.max(fromMm, startMm);
    set.beginsBad ||= fromMm <= startMm;
    set.endMm += outMm;
    set.cutOutMm += outMm;
    set.splices++;
  }
  return set;
}
