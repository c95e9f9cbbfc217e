// How many rolls to start so that enough good ones come out: each roll is good by itself with the same chance.
// The start that is needed follows the negative binomial law; its terms are summed in turn with one common scale, so
// that orders of ten thousand rolls neither underflow nor lose digits to factorials. Shares and chances are 0 to 1.

/** Terms are kept near 1 by moving this much into the scale. */
const SCALE_STEP = 1e200;
const LN_SCALE_STEP = Math.log(SCALE_STEP);

/**
 * Chances that exactly k starts are needed for `good` good rolls, for k = good, good + 1, ...:
 * C(k - 1, good - 1) share^good (1 - share)^(k - good).
 */
function* chancesOfNeed(good: number, share: number): Generator<number> {
  let term = 1;
  let lnScale = good * Math.log(share);
  for (let k = good; ; k++) {
    yield term * Math.exp(lnScale);
    term *= (k / (k - good + 1)) * (1 - share);
    if (term > SCALE_STEP) {
      term /= SCALE_STEP;
      lnScale += LN_SCALE_STEP;
    } else if (term < 1 / SCALE_STEP && lnScale > 0) {
      term *= SCALE_STEP;
      lnScale -= LN_SCALE_STEP;
    }
  }
}

/**
 * The chance that at least `good` of `started` rolls are good (binomial law).
 * @param share chance that a roll is good, above 0, at most 1.
 */
export function chanceOfEnough(good: number, started: number, share: number): number {
  if (good <= 0) return 1;
  if (started < good) return 0;
  if (share >= 1) return 1;
  let sum = 0;
  let k = good;
  for (const chance of chancesOfNeed(good, share)) {
    sum += chance;
    if (++k > started) break;
  }
  return Math.min(1, sum);
}

/**
 * The fewest rolls to start so that at least `good` of them are good with a chance of at least `wanted`.
 * @param share chance that a roll is good, above 0, at most 1.
 * @param wanted above 0, at most 0.999999: nearer to 1 the sum of doubles could not tell.
 */
export function rollsToStart(good: number, share: number, wanted: number): number {
  if (!(share > 0) || !(wanted > 0) || wanted > MOST_CERTAIN) throw new Error('share or chance out of range');
  if (good <= 0 || share >= 1) return Math.max(0, good);
  let sum = 0;
  let started = good;
  for (const chance of chancesOfNeed(good, share)) {
    sum += chance;
    if (sum >= wanted) break;
    started++;
  }
  return started;
}

/** The highest chance that can be asked for. */
export const MOST_CERTAIN = 0.999999;
