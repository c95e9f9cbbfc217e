// A strip narrower than the slitter's minimum cannot be cut or wound.
import { umToMm } from '../../domain/units.ts';
import type { PatternRule } from './rule.ts';

export const stripWidth: PatternRule = {
  refusesStrip: ({ slitter }, widthUm) =>
    widthUm < slitter.minStripWidthUm
      ? `${umToMm(widthUm)} mm is narrower than the ${umToMm(slitter.minStripWidthUm)} mm that ${slitter.id} can cut`
      : undefined,
};
