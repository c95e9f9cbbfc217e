// A web wider than the slitter does not go in.
import { umToMm } from '../../domain/units.ts';
import type { PatternRule } from './rule.ts';

export const webWidth: PatternRule = {
  refusesPlace: ({ slitter, widthUm }) =>
    widthUm > slitter.maxWebWidthUm
      ? `a web of ${umToMm(widthUm)} mm is wider than the ${umToMm(slitter.maxWebWidthUm)} mm that ${slitter.id} takes`
      : undefined,
};
