// Excess beyond the edge trims is slit out as a waste strip, of which a machine may take away only so many.
import type { PatternRule } from './rule.ts';

export const wasteStrips: PatternRule = {
  budget: ({ slitter }) => ({ limit: slitter.maxWasteStrips, eachStrip: 0, eachWidth: 0, eachWaste: 1 }),
};
