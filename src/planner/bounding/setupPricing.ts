// Pricing when a set-up costs money: a set is worth its strips less the set-up's share, cost / U, where U is how often
// it can be cut. For each possible U from long runs to short ones the strips are capped so that U sets stay possible,
// and the ordinary pricing finds the best; shorter runs are not tried once their share alone rules them out.
import type { Site } from '../model/model.ts';
import { type PricingAnswer, type PricingQuestion, pricePatterns } from './pricing.ts';

/** As pricePatterns, with values net of the set-up's share. */
export function priceNetOfSetup(site: Site, question: PricingQuestion, setup: number): PricingAnswer {
  if (setup === 0) return pricePatterns(site, question);
  const gross = pricePatterns(site, { ...question, above: 0, keep: 1 });
  const found = new Map<string, { value: number; counts: number[] }>();
  let best = question.above;
  let proven = true;
  for (const sets of runLengths(site, question.most)) {
    const share = setup / sets;
    if (gross.upperBound - share <= best) break;
    const most = Array.from(question.most, (n) => Math.floor(n / sets));
    const answer = pricePatterns(site, { ...question, most, above: best + share });
    for (const { value, counts } of answer.patterns)
      found.set(counts.join(','), { value: value - share, counts });
    best = Math.max(best, ...answer.patterns.map(({ value }) => value - share));
    proven = proven && answer.upperBound - share <= best + 1e-9 * Math.max(1, Math.abs(best));
  }
  const patterns = [...found.values()].sort((a, b) => b.value - a.value).slice(0, question.keep);
  return { patterns, upperBound: proven ? best : gross.upperBound };
}

/** The run lengths that can be the longest for some set, long ones first. */
function runLengths(site: Site, most: ArrayLike<number>): number[] {
  const usable = site.web.reduce((sum, s) => sum + s.toUm - s.fromUm, 0);
  const lengths = new Set<number>();
  site.widthsUm.forEach((width, k) => {
    const across = Math.min(most[k], Math.floor(usable / width));
    for (let n = 1; n <= across; n++) lengths.add(Math.floor(most[k] / n));
  });
  return [...lengths].sort((a, b) => b - a);
}
