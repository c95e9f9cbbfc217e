// The list of limits on one pattern. Every limit that a slitter can carry must have its rule here: a new field on
// Slitter that limits patterns goes into PatternLimit, and this file then fails to compile until its rule is listed.
import type { Slitter } from '../../domain/problem.ts';
import { distinctWidths } from './distinctWidths.ts';
import { edgeTrim } from './edgeTrim.ts';
import { rollDiameter } from './rollDiameter.ts';
import type { PatternRule } from './rule.ts';
import { stripCount } from './stripCount.ts';
import { stripWidth } from './stripWidth.ts';
import { wasteStrips } from './wasteStrips.ts';
import { webWidth } from './webWidth.ts';

/** Fields of Slitter that cost or time the work instead of limiting a pattern. */
type NotALimit =
  | 'id'
  | 'knivesAtUm'
  | 'calendar'
  | 'busyMinutes'
  | 'keptKnivesUm'
  | 'minutesPerSetup'
  | 'minutesPerKnifeMove'
  | 'minutesPerSetChange'
  | 'metresPerMinute'
  | 'rampUpSeconds'
  | 'rampDownSeconds'
  | 'leadInMm'
  | 'tailMm'
  | 'costPerHour';
export type PatternLimit = Exclude<keyof Slitter, NotALimit>;

const RULES: Record<PatternLimit, PatternRule> = {
  maxWebWidthUm: webWidth,
  edgeTrimMinUm: edgeTrim,
  edgeTrimMaxUm: edgeTrim,
  maxRollDiameterUm: rollDiameter,
  minStripWidthUm: stripWidth,
  maxStrips: stripCount,
  maxDistinctWidths: distinctWidths,
  maxWasteStrips: wasteStrips,
};

export const patternRules: PatternRule[] = [...new Set(Object.values(RULES))];
