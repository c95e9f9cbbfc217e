// What may be decided on a roll, and what it takes: release from quarantine or hold, hold, release with a concession (who
// approves, why, until when), and taking that back. Past its use-by day a roll is released with a concession only, and
// only with a test named.
import type { Field } from './resource.ts';
import type { IsoDate } from './units.ts';

export const DECISIONS = ['release', 'hold', 'concession', 'take back'] as const;
export type Decision = (typeof DECISIONS)[number];

export interface RollToDecide {
  status: string;
  useBy: IsoDate | null;
  /** A concession is in force. */
  conceded: boolean;
}

const isPast = (roll: RollToDecide, today: IsoDate): boolean => roll.useBy !== null && roll.useBy < today;

/** Why a machine may not run it, in words that go on after the roll's number; undefined when it may. */
export function whyNotRun(
  { status, useBy }: Omit<RollToDecide, 'conceded'>,
  today: string,
): string | undefined {
  if (status !== 'released') return `is ${status}`;
  return useBy !== null && useBy < today ? `was to be used by ${useBy}` : undefined;
}

/** Why it may not be decided, in words; undefined when it may. */
export function whyNot(decision: Decision, roll: RollToDecide, today: IsoDate): string | undefined {
  const { status } = roll;
  const waits = status === 'in quarantine' || status === 'on hold';
  switch (decision) {
    case 'release':
      if (!waits) return `it is ${status}`;
      return isPast(roll, today) ? `it was to be used by ${roll.useBy}` : undefined;
    case 'hold':
      return status === 'in quarantine' || status === 'released' ? undefined : `it is ${status}`;
    case 'concession':
      return waits || (status === 'released' && isPast(roll, today)) ? undefined : `it is ${status}`;
    case 'take back':
      return status === 'released' && roll.conceded ? undefined : 'no concession is in force';
  }
}

export const decisionsFor = (roll: RollToDecide, today: IsoDate): Decision[] =>
  DECISIONS.filter((decision) => whyNot(decision, roll, today) === undefined)
    // A roll under concession is not simply held: its concession is taken back, which holds it.
    .filter((decision) => decision !== 'hold' || !roll.conceded);

/** What a roll becomes. */
export const BECOMES: Readonly<Record<Decision, string>> = {
  release: 'released',
  hold: 'on hold',
  concession: 'released',
  'take back': 'on hold',
};

export const REASON: Field = {
  name: 'reason',
  column: 'reason',
  label: 'Why',
  kind: 'text',
  required: true,
};

export const CONCESSION_FIELDS: readonly Field[] = [
  REASON,
  { name: 'approver', column: 'approver', label: 'Approved by', kind: 'text', required: true },
  { name: 'until', column: 'until', label: 'Until', kind: 'date', required: true },
  {
    name: 'test',
    column: 'test',
    label: 'Tested',
    kind: 'text',
    help: 'What was tested and what came out; needed to use a roll beyond its use-by day.',
  },
];

/** Is a test needed to use it until then? */
export const needsTest = (useBy: IsoDate | null, until: IsoDate): boolean => useBy !== null && until > useBy;
