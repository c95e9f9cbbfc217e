// The plan, as the file format lanewright-plan/1 has it: decimal mm across, decimal m along, ISO dates.
// It is the same object inside the program and in the file, so what was checked is what is stored and shown.

export type PlanStatus = 'best' | 'good' | 'short';
export type PlanStopped = 'proved' | 'time' | 'search-ended';

/** One lane of a set, left to right: exactly one of order, filler, waste is given. */
export interface Strip {
  fromMm: number;
  toMm: number;
  order?: string;
  /** Index into the problem's fillers. */
  filler?: number;
  waste?: true;
}

/** Sets of a run taken from one roll; startM is measured from the outer end of the roll as it stands in stock. */
export interface RunFrom {
  /** A single roll (id, or id#k where the count is above 1); a purchased roll by its offer id with #k. */
  roll: string;
  sets: number;
  startM: number;
}

export interface Run {
  sequence: number;
  slitter: string;
  product: string;
  /** Finished length of every strip. */
  lengthM: number;
  sets: number;
  trimLeftMm: number;
  trimRightMm: number;
  strips: Strip[];
  from: RunFrom[];
  startsOn?: string;
  /** Set-up, knife moves, set changes and running. */
  minutes: number;
  /** Knives that stand elsewhere than in the run before; for a slitter's first run, all its knives. */
  knifeMoves: number;
}

export interface PlanCost {
  total: number;
  material: number;
  setups: number;
  running: number;
  late: number;
  short: number;
  purchases: number;
}

export interface CoatingStep {
  roll: string;
  product: string;
  lengthM: number;
  readyOn?: string;
}

export interface Purchase {
  offer: string;
  widthMm: number;
  rolls: number;
  kg: number;
  cost: number;
  orderBy?: string;
  arrivesOn?: string;
}

export interface OrderOutcome {
  id: string;
  ordered: number;
  planned: number;
  over: number;
  short: number;
  readyOn?: string;
  lateDays: number;
  /** Why it falls short or is late, in plain words; empty when it does not. */
  reasons: string[];
}

export interface Stub {
  roll: string;
  widthMm: number;
  lengthM: number;
  keep: boolean;
}

export interface Yield {
  inputM2: number;
  orderedM2: number;
  overM2: number;
  fillerM2: number;
  edgeTrimM2: number;
  wasteStripM2: number;
  /** Lead-in and tails. */
  leadInM2: number;
  defectM2: number;
  stubM2: number;
  areaYieldPct: number;
}

export interface Plan {
  format: 'lanewright-plan/1';
  status: PlanStatus;
  currency: string;
  cost: PlanCost;
  bound: { cost: number; gapPct: number };
  runs: Run[];
  coating: CoatingStep[];
  purchases: Purchase[];
  orders: OrderOutcome[];
  stubs: Stub[];
  yield: Yield;
  marginal: { order: string; costPerRoll: number }[];
  stopped: PlanStopped;
  /** Gained field: other plans of the same problem, with fewer set-ups or less film; none has alternatives itself. */
  alternatives?: Plan[];
}

/** A run before it has its place in time; a lock has it so. */
export type UntimedRun = Omit<Run, 'sequence' | 'startsOn' | 'minutes' | 'knifeMoves'>;

export function untimed({ sequence, startsOn, minutes, knifeMoves, ...run }: Run): UntimedRun {
  return run;
}

/** What a planning run tells while it works; costs are null until there is one. */
export interface PlanProgress {
  phase: 'reading' | 'bounding' | 'building' | 'improving' | 'proving' | 'laying out' | 'done';
  boundCost: number | null;
  bestCost: number | null;
  /** Patterns (columns) generated so far. */
  columns: number;
}

/** The planner's only contact with the outside: no clock and no I/O of its own. */
export interface PlanControl {
  /** Seconds that may still be spent; Infinity when nobody waits. Asked between steps. */
  secondsLeft(): number;
  report(progress: PlanProgress): void;
  /** Hears the first whole plan, when the search goes on from it. It may be far from the best. */
  first?(plan: Plan): void;
}
