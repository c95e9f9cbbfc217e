// Both edges are trimmed: at least the slitter's minimum, the coat-free edge and what strips to be kept away from the
// edges ask for, at most what the trim winder takes.
// What is left beyond the maxima must be slit out as a waste strip, which itself has the minimum strip width.
import type { Edges } from '../../domain/problem.ts';
import { um, umToMm } from '../../domain/units.ts';
import type { PatternRule, Place } from './rule.ts';

/** The least trim on each side, um. */
type Edge = Pick<Place, 'slitter' | 'product' | 'awayFromEdgeUm'>;
export function leastTrim({ slitter, product, awayFromEdgeUm = 0 }: Edge): Edges {
  const coatFree = product.coating?.coatFreeEdgeUm;
  return {
    left: um(Math.max(slitter.edgeTrimMinUm.left, coatFree?.left ?? 0, awayFromEdgeUm)),
    right: um(Math.max(slitter.edgeTrimMinUm.right, coatFree?.right ?? 0, awayFromEdgeUm)),
  };
}

export const edgeTrim: PatternRule = {
  refusesPlace: (place) => {
    const { left, right } = leastTrim(place);
    const most = place.slitter.edgeTrimMaxUm;
    if (left > most.left || right > most.right) {
      return `an edge of ${umToMm(Math.max(left, right))} mm must go, more than ${place.slitter.id} can trim`;
    }
    return left + right >= place.widthUm
      ? `the edge trims of ${umToMm(left)} + ${umToMm(right)} mm leave nothing of a ${umToMm(place.widthUm)} mm web`
      : undefined;
  },
};
