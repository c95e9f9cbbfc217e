// Dives that go back, for a plan of a cost that no dive has met yet: where what remains can be proved to cost too much,
// another fraction is rounded up instead (limited discrepancy search, Harvey & Ginsberg, IJCAI 1995; in dives of column
// generation Sadykov et al., INFORMS Journal on Computing 31, 2019). Where rolls are counted.
import { type Effort, type Relaxation, relax, roundUp } from '../bounding/bounding.ts';
import { setCost } from '../model/columns.ts';
import type { Model, Sets } from '../model/model.ts';
import { everything, type Remaining } from '../model/remaining.ts';
import { completeWithFullest } from './completion.ts';
import { roundedUp, stillOfUse, takeWhole, use } from './diveSteps.ts';
import { finish, type IntegerPlan } from './integerPlan.ts';

/** Fractions tried at each step; those proved to cost too much are no way out of the dive, only another try. */
const MOST_TRIED = 20;
/** Ways out of the plain dive in one plan: going back once and on from there is one, going back again two. */
const MOST_WAYS_OUT = 8;
const MOST_RELAXED = 400;
const WHOLE = 1e-6;

interface State {
  remaining: Remaining;
  relaxation: Relaxation;
  fixed: Sets;
  spent: number;
}

/** A plan that costs no more than `effort.enough`, if one is found. */
export function diveAndGoBack(model: Model, root: Relaxation, effort: Effort): IntegerPlan | undefined {
  let left = MOST_RELAXED;
  const plan = (state: State) => {
    const sets = [...state.fixed, ...completeWithFullest(model, state.remaining)];
    return finish(model, sets, effort);
  };
  const descend = (state: State, waysOut: number): IntegerPlan | undefined => {
    const whole = plan(state);
    if (whole && whole.cost <= effort.enough + WHOLE) return whole;
    const fixed = take(model, state, takeWhole(model, state.relaxation, state.remaining) ?? []);
    let out = 0;
    for (const choice of roundedUp(model, fixed.relaxation, fixed.remaining, MOST_TRIED)) {
      if (out > waysOut || left-- <= 0 || (effort.control?.secondsLeft() ?? 1) <= 0) return undefined;
      const next = take(model, fixed, [choice]);
      if (!relaxed(next)) continue;
      const found = descend(next, waysOut - out);
      if (found) return found;
      out++;
    }
    return undefined;
  };
  /** Relaxes what remains; false when it is proved to cost too much. */
  const relaxed = (state: State): boolean => {
    const pool = stillOfUse(model, state.remaining, state.relaxation.columns, false);
    const tooMuch = effort.enough - state.spent + model.costStep;
    state.relaxation = relax(model, state.remaining, pool, { ...effort, enough: tooMuch });
    return state.spent + roundUp(model, state.relaxation.bound) <= effort.enough + WHOLE;
  };
  const start: State = { remaining: everything(model), relaxation: root, fixed: [], spent: 0 };
  let best: IntegerPlan | undefined;
  for (let waysOut = 1; waysOut <= MOST_WAYS_OUT && !best && left > 0; waysOut++)
    best = descend(start, waysOut);
  return best;
}

/** The state with these sets fixed as well; its relaxation is still that of before. */
function take(model: Model, state: State, sets: Sets): State {
  const remaining = structuredClone(state.remaining);
  let { spent } = state;
  for (const item of sets) {
    spent += item.times * setCost(model, item.pattern);
    use(model, remaining, item);
  }
  return { remaining, relaxation: state.relaxation, fixed: [...state.fixed, ...sets], spent };
}
