// n strips need n + 1 knives, so a slitter has a largest number of strips; a waste strip counts like any other.
import type { PatternRule } from './rule.ts';

export const stripCount: PatternRule = {
  budget: ({ slitter }) => ({ limit: slitter.maxStrips, eachStrip: 1, eachWidth: 0, eachWaste: 1 }),
};
