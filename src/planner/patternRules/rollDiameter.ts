// The finished roll must fit the machine; its diameter follows from finished length, layer thickness and core.
import { woundDiameterMm } from '../../domain/filmMath.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import type { PatternRule, Place } from './rule.ts';

export const rollDiameter: PatternRule = {
  refusesPlace: (place) => {
    const diameterMm = finishedDiameterMm(place);
    const largestMm = umToMm(place.slitter.maxRollDiameterUm);
    if (diameterMm === undefined || diameterMm <= largestMm) return undefined;
    return (
      `${mmToM(place.lengthMm)} m winds to ${diameterMm.toFixed(1)} mm across, ` +
      `more than the ${largestMm} mm that ${place.slitter.id} takes`
    );
  },
};

function finishedDiameterMm({ product, lengthMm }: Place): number | undefined {
  const { layerThicknessUm, coreOutsideDiameterUm } = product;
  if (layerThicknessUm === undefined || coreOutsideDiameterUm === undefined) return undefined;
  const core = umToMm(coreOutsideDiameterUm);
  return woundDiameterMm({ coreOutsideDiameterMm: core, layerThicknessUm, lengthM: mmToM(lengthMm) });
}
