// What the improvement of a plan starts from: relaxations, the list of sets that can be cut, and a whole first plan. Where
// set-ups count that plan is filled up from nothing and recut, which is quicker than a dive and better; the dive then
// follows in time, for its columns. Elsewhere, or where that falls short, it comes from the dive.
import type { Effort, Relaxation } from '../bounding/bounding.ts';
import { listPatterns } from '../bounding/listPatterns.ts';
import type { Column } from '../model/columns.ts';
import type { Model, Pattern } from '../model/model.ts';
import { fillShort } from './fillShort.ts';
import { type Dive, dive, type IntegerPlan } from './integerPlan.ts';
import { openRecutting, type Recutting } from './recut.ts';

export interface Start {
  /** The relaxation that proves, and the one that counts set-ups. */
  root: Relaxation;
  withSetups: Relaxation;
  first: Dive;
  mostPatterns: number;
  /** Where set-ups count every set that can be cut, unless these are too many. */
  all: Pattern[] | undefined;
  /** undefined where set-ups cost nothing. */
  recutting: Recutting | undefined;
  /** The dive, where the first plan came another way. */
  diveLater: (() => Dive) | undefined;
}

type Known = Pick<Start, 'root' | 'withSetups' | 'mostPatterns'>;

/** Longer lists of sets than this are not searched. */
const MOST_LISTED = 20_000;
const PLAIN = { nudge: () => 0 };

/** `quickest`: a plan that is there already. */
export function begin(model: Model, known: Known, effort: Effort, quickest: IntegerPlan | undefined): Start {
  const { root, withSetups } = known;
  const all = effort.setups ? listPatterns(model, root.proven, Infinity, MOST_LISTED, true) : undefined;
  const recutting = effort.setups
    ? openRecutting(model, all ?? patternsOf(withSetups.columns), known, effort.control)
    : undefined;
  const dived = () => fillShort(model, dive(model, withSetups, effort, PLAIN, quickest), effort);
  const best = all && !quickest ? filledUp(model, recutting) : undefined;
  const first = best ? { best, columns: withSetups.columns } : dived();
  return { ...known, first, all, recutting, diveLater: best && dived };
}

/** The cheapest plan that recutting makes from nothing, unless it falls short. */
function filledUp(model: Model, recutting: Recutting | undefined): IntegerPlan | undefined {
  if (model.costStep > 0) return undefined;
  const [best] = (recutting?.once(undefined) ?? []).sort((a, b) => a.cost - b.cost);
  return best?.short.every((n) => n === 0) ? best : undefined;
}

const patternsOf = (columns: Column[]) =>
  columns.flatMap((column) => (column.kind === 'pattern' ? [column.pattern] : []));
