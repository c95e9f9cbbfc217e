// Each distinct width is measured and set on its own; waste strips have no width to keep and do not count.
import type { PatternRule } from './rule.ts';

export const distinctWidths: PatternRule = {
  budget: ({ slitter }) => ({ limit: slitter.maxDistinctWidths, eachStrip: 0, eachWidth: 1, eachWaste: 0 }),
};
