// Film arithmetic of the trade: wound length and diameter, mass, yield, coating, machine time, quantity tolerance.
// Every function names its units in its arguments; geometry is exact, factors are those of NIST SP 811 appendix B.
// A wound roll is taken as a spiral of layers of one thickness: calibrate the thickness from a roll of known length.

/** 100 gauge are one mil, 25.4 um. */
export const UM_PER_GAUGE = 0.254;
const KG_PER_LB = 0.45359237;
const M_PER_FT = 0.3048;
const M2_PER_IN2 = 6.4516e-4;
/** 1 MSI = 1000 square inches. */
export const M2_PER_MSI = 0.64516;
/** The ream of 3000 square feet; other trades use other reams, so always state it. */
const M2_PER_REAM_3000_FT2 = 3000 * M_PER_FT * M_PER_FT;

/** Usual densities in g/cm3 (a film's data sheet wins; voided and filled films differ).
 * From materials data pages and yield charts; BOPET, polyimide and PPS from memory. */
export const USUAL_DENSITY_G_PER_CM3 = {
  BOPET: 1.395,
  PEN: 1.36,
  BOPP: 0.905,
  LDPE: 0.92,
  HDPE: 0.95,
  nylon: 1.16,
  polyimide: 1.42,
  PPS: 1.35,
} as const;

interface WoundRoll {
  coreOutsideDiameterMm: number;
  layerThicknessUm: number;
}

/** Length in m wound between core and outside diameter: L = pi (D^2 - d^2) / (4 t). */
export function woundLengthM(roll: WoundRoll & { outsideDiameterMm: number }): number {
  const { outsideDiameterMm: outside, coreOutsideDiameterMm: core, layerThicknessUm } = roll;
  return (Math.PI * (outside ** 2 - core ** 2)) / (4 * layerThicknessUm);
}

/** Outside diameter in mm of a wound length: D = sqrt(d^2 + 4 t L / pi). */
export function woundDiameterMm(roll: WoundRoll & { lengthM: number }): number {
  const { lengthM, coreOutsideDiameterMm: core, layerThicknessUm } = roll;
  return Math.sqrt(core ** 2 + (4 * layerThicknessUm * lengthM) / Math.PI);
}

/** Layers between core and outside diameter. */
export function woundTurns(roll: WoundRoll & { outsideDiameterMm: number }): number {
  return ((roll.outsideDiameterMm - roll.coreOutsideDiameterMm) * 1000) / (2 * roll.layerThicknessUm);
}

/** Mass of one m2 in g: thickness (um) x density (g/cm3) + dry coating (g/m2). */
export function grammage(thicknessUm: number, densityGPerCm3: number, coatingGPerM2 = 0): number {
  return thicknessUm * densityGPerCm3 + coatingGPerM2;
}

/** Mass of a web in kg. */
export function filmMassKg(web: {
  widthMm: number;
  lengthM: number;
  thicknessUm: number;
  densityGPerCm3: number;
  coatingGPerM2?: number;
}): number {
  const area = (web.widthMm / 1000) * web.lengthM;
  return (area * grammage(web.thicknessUm, web.densityGPerCm3, web.coatingGPerM2)) / 1000;
}

/** Film yield in m2 per kg. */
export function filmYieldM2PerKg(thicknessUm: number, densityGPerCm3: number): number {
  return 1000 / grammage(thicknessUm, densityGPerCm3);
}

/** Film yield in in2 per lb. */
export function filmYieldIn2PerLb(thicknessUm: number, densityGPerCm3: number): number {
  return (filmYieldM2PerKg(thicknessUm, densityGPerCm3) * KG_PER_LB) / M2_PER_IN2;
}

/** lb per ream of 3000 ft2 from g/m2. */
export function lbPerReam(gramsPerM2: number): number {
  return (gramsPerM2 * M2_PER_REAM_3000_FT2) / 1000 / KG_PER_LB;
}

/** Dry coat in g/m2 from the wet film (um), its density (g/cm3) and its solids (mass fraction). */
export function dryCoatGPerM2(wetUm: number, wetDensityGPerCm3: number, solids: number): number {
  return wetUm * wetDensityGPerCm3 * solids;
}

/** Coating needed for an area: dry, wet, wet with loss (fraction of what is used), and the solvent that evaporates; kg. */
export function coatingNeed(job: { areaM2: number; dryGPerM2: number; solids: number; loss: number }): {
  dryKg: number;
  wetKg: number;
  wetWithLossKg: number;
  solventKg: number;
} {
  const dryKg = (job.areaM2 * job.dryGPerM2) / 1000;
  const wetKg = dryKg / job.solids;
  return { dryKg, wetKg, wetWithLossKg: wetKg / (1 - job.loss), solventKg: wetKg * (1 - job.solids) };
}

/**
 * Machine minutes for one set of `lengthM` with straight ramps: L/v + (a + b)/2, and when the set is too short to reach
 * full speed the triangle sqrt(2 L (a + b) / v). Speed in m/min (Infinity: no time), ramps in seconds.
 */
export function setMinutes(set: {
  lengthM: number;
  metresPerMinute: number;
  rampUpSeconds: number;
  rampDownSeconds: number;
}): number {
  const ramps = (set.rampUpSeconds + set.rampDownSeconds) / 60;
  const speed = set.metresPerMinute;
  if (speed === Number.POSITIVE_INFINITY) return 0;
  if (set.lengthM < (speed * ramps) / 2) return Math.sqrt((2 * set.lengthM * ramps) / speed);
  return set.lengthM / speed + ramps / 2;
}

/** Whole sets from one roll, each with its tail, after what is lost once (lead-in, end); lengths in whole mm. */
export function setsPerRoll(roll: {
  lengthMm: number;
  lostMm: number;
  finishedMm: number;
  tailMm: number;
}): number {
  return Math.max(0, Math.floor((roll.lengthMm - roll.lostMm) / (roll.finishedMm + roll.tailMm)));
}

/** Pattern efficiency in %: strip widths over web width (same unit). */
export function patternEfficiencyPct(stripWidths: number[], webWidth: number): number {
  return (100 * stripWidths.reduce((sum, width) => sum + width, 0)) / webWidth;
}

/** The widest over-run that a problem may name, %: what is left of an order may be one roll of hundreds. */
export const MOST_OVER_PCT = 1000;

/** Order of q rolls +o % / -u %: from ceil(q (1 - u)) to floor(q (1 + o)); 5 rolls +/-10 % are exactly 5. */
export function acceptedRolls(
  rolls: number,
  overPct: number,
  underPct: number,
): { minRolls: number; maxRolls: number } {
  // The guard keeps decimal percentages from losing a roll to binary rounding.
  const guard = 1e-9;
  return {
    minRolls: Math.max(0, Math.ceil((rolls * (100 - underPct)) / 100 - guard)),
    maxRolls: Math.floor((rolls * (100 + overPct)) / 100 + guard),
  };
}
