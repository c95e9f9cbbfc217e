// What the label of a finished roll carries in GS1 form: (01) the product, (8001) what roll it is, (10) its lot, (21) its
// number. Whatever a roll lacks, or the standard cannot carry, is left out and named, never made up.
// Source: GS1 General Specifications; (8001) is used with a GTIN of variable measure and never without (01).
import { gs1Carries, gs1RollProduct, variableGtin14 } from './gs1.ts';
import { mmToM, umToMm } from './units.ts';

export interface RollToLabel {
  code: string;
  lot: string | null;
  widthUm: number;
  lengthMm: number;
  coreInsideUm: number | null;
  splices: number;
  itemNumber: number;
}

export interface LabelContent {
  /** As bar code libraries take it: "(01)...(8001)...". */
  elements: string;
  /** What is not in it, and why, in words. */
  leftOut: string[];
}

const UNKNOWN_SPLICES = 9;

/** The content for one roll under this company prefix. */
export function finishedLabel(roll: RollToLabel, companyPrefix: string): LabelContent {
  const leftOut: string[] = [];
  const part = (identifier: string, value: string | undefined, why: string): string => {
    if (value === undefined) leftOut.push(`(${identifier}): ${why}`);
    return value === undefined ? '' : `(${identifier})${value}`;
  };
  const elements = [
    part('01', variableGtin14(companyPrefix, roll.itemNumber), ''),
    part('8001', rollProduct(roll), whyNoSize(roll)),
    part(
      '10',
      lotOf(roll),
      roll.lot ? 'the lot has characters or a length that GS1 does not carry' : 'it has no lot',
    ),
    part(
      '21',
      gs1Carries(roll.code) ? roll.code : undefined,
      'the roll number has characters that GS1 does not carry',
    ),
  ];
  return { elements: elements.join(''), leftOut };
}

function whyNoSize({ lengthMm, coreInsideUm }: RollToLabel): string {
  if (coreInsideUm === null) return 'its core is not entered';
  return mmToM(lengthMm) < 1
    ? 'there is less than 1 m on it'
    : 'it does not fit whole mm in 4 digits and whole m in 5';
}

const lotOf = ({ lot }: RollToLabel): string | undefined =>
  lot !== null && gs1Carries(lot) ? lot : undefined;

function rollProduct({ widthUm, lengthMm, coreInsideUm, splices }: RollToLabel): string | undefined {
  const [widthMm, lengthM] = [umToMm(widthUm), mmToM(lengthMm)];
  if (coreInsideUm === null || widthMm >= 10_000 || lengthM >= 100_000) return undefined;
  // Whole mm and m; the standard permits no zero.
  if (widthMm < 1 || lengthM < 1 || umToMm(coreInsideUm) < 1) return undefined;
  return gs1RollProduct({
    widthMm,
    lengthM,
    coreInsideDiameterMm: umToMm(coreInsideUm),
    winding: 'undefined',
    splices: splices < UNKNOWN_SPLICES ? splices : UNKNOWN_SPLICES,
  });
}
