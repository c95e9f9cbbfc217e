// The words of the ledger of stock: why metres come in, go out or are lost, and why a roll is scrapped. One list, so that
// pages, reports and the database speak alike. A loss of scrap names its cause: "scrap: wrinkles".

export const LOSS = {
  leadIn: 'lead-in',
  /** Metres that no set took: a bad place, or what lay before a run. */
  passedOver: 'passed over',
  tail: 'tail',
  cutOut: 'cut-out',
  edgeTrim: 'edge trim',
  wasteStrip: 'waste strip',
  /** What a roll that ended early lacks of the finished length. */
  shortRoll: 'short roll',
  stub: 'stub',
  counted: 'counted',
} as const;

/** Why a strip of a set, or a finished roll, is no good. Common practice, no source. */
export const SCRAP_CAUSES = [
  'wrinkles',
  'wrong width',
  'telescoped',
  'torn web',
  'damaged edge',
  'coating fault',
  'dirt',
  'set-up',
  'other',
] as const;

export const scrapOf = (cause: string): string => `scrap: ${cause}`;

/** Why the end of a roll is not kept. */
export const STUB_CAUSES = [
  'too short to keep',
  'damaged at the core',
  'coating fault',
  'past its use',
  'other',
] as const;

/** What is cut out of a web. */
export const CUT_OUT_KINDS = ['flag', 'join', 'torn web', 'coating fault', 'other'] as const;

/** What the film became, in the account of its yield, and the machine that is not a slitter. */
export const GOOD_ROLLS = 'good rolls';
export const COATED_FILM = 'coated film';
export const COATER = 'coater';
