// Do label, scale and tape agree? The length that a roll's mass and its diameter stand for, beside the length on its
// label (trade formulae: length from diameter, mass of a web; filmMath.ts). A coated layer is not known here: base film.
import { filmMassKg, woundLengthM } from './filmMath.ts';
import { mmToM, umToMm } from './units.ts';

export interface RollMeasured {
  lengthMm: number;
  widthUm: number;
  massKg: number | null;
  diameterUm: number | null;
  coreOutsideUm: number | null;
  thicknessUm: number;
  densityGPerCm3: number;
  /** Air wound in with each layer, in % of its thickness. */
  airPct: number;
}

export interface Disagreement {
  by: 'mass' | 'diameter';
  /** The length that this measure stands for. */
  saysM: number;
  /** How much that is above the label, in % of the label. */
  offPct: number;
}

/** The measures that differ from the label by more than the tolerance; measures that were not taken say nothing. */
export function reconcile(roll: RollMeasured, tolerancePct: number): Disagreement[] {
  const labelM = mmToM(roll.lengthMm);
  return [
    { by: 'mass' as const, saysM: lengthByMass(roll) },
    { by: 'diameter' as const, saysM: lengthByDiameter(roll) },
  ].flatMap(({ by, saysM }) => {
    if (saysM === undefined) return [];
    const offPct = (100 * (saysM - labelM)) / labelM;
    return Math.abs(offPct) > tolerancePct ? [{ by, saysM, offPct }] : [];
  });
}

function lengthByMass({ massKg, widthUm, thicknessUm, densityGPerCm3 }: RollMeasured): number | undefined {
  if (massKg === null) return undefined;
  return massKg / filmMassKg({ widthMm: umToMm(widthUm), lengthM: 1, thicknessUm, densityGPerCm3 });
}

function lengthByDiameter(roll: RollMeasured): number | undefined {
  if (roll.diameterUm === null || roll.coreOutsideUm === null) return undefined;
  return woundLengthM({
    outsideDiameterMm: umToMm(roll.diameterUm),
    coreOutsideDiameterMm: umToMm(roll.coreOutsideUm),
    layerThicknessUm: roll.thicknessUm * (1 + roll.airPct / 100),
  });
}

/** "its mass stands for 17,250 m, 4.2 % less than the 18,000 m on its label" */
export function disagreementWords({ by, saysM, offPct }: Disagreement, lengthMm: number): string {
  const metres = (value: number) => value.toLocaleString('en-GB', { maximumFractionDigits: 0 });
  const off = `${Math.abs(offPct).toFixed(1)} % ${offPct < 0 ? 'less' : 'more'}`;
  return `its ${by} stands for ${metres(saysM)} m, ${off} than the ${metres(mmToM(lengthMm))} m on its label`;
}
