// From the first dive towards the best plan: integer programs over every pattern met so far, dives from nudged
// roundings, and then the proof (reduced-cost fixing, proof.ts). Stops when the cost meets the proven bound.
import type { PlanControl, PlanProgress } from '../domain/plan.ts';
import { type Relaxation, roundUp } from './bounding.ts';
import { uniqueColumns } from './columns.ts';
import { type Dive, dive, type IntegerPlan } from './integerPlan.ts';
import type { Model } from './model.ts';
import { polish } from './polish.ts';
import { prove } from './proof.ts';
import { seededRandom } from './seededRandom.ts';

export interface Improved {
  plan: IntegerPlan;
  bound: number;
  columns: number;
  outOfTime: boolean;
}

/** What there is to start from: the relaxation that proves and the one that counts set-ups, and the first dive. */
export interface Start {
  root: Relaxation;
  withSetups: Relaxation;
  /** Proven bound on the cost, set-ups included. */
  bound: number;
  first: Dive;
  mostPatterns: number;
}

type Tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns?: number) => void;

const DIVES = 12;
const NUDGE = 0.7;
const SAME = 1e-6;

export function improve(model: Model, start: Start, control: PlanControl, tell: Tell): Improved {
  const { root, withSetups, first, mostPatterns } = start;
  if (!first.best) throw new Error('the first dive ended without a plan');
  let plan = first.best;
  let bound = start.bound;
  let columns = uniqueColumns([...root.columns, ...first.columns]);
  const closed = () => plan.cost - bound <= SAME * Math.max(1, Math.abs(plan.cost));
  const late = () => control.secondsLeft() <= 0;
  const consider = (found: IntegerPlan | undefined) => {
    if (found && found.cost < plan.cost - SAME) plan = found;
  };
  const effort = { setups: true, enough: bound, control };
  const steps = [
    () => consider(polish(model, columns, root, plan, control, mostPatterns)),
    () => {
      const random = seededRandom(1);
      for (let i = 0; i < DIVES && !closed() && !late(); i++) {
        const again = dive(model, withSetups, effort, { nudge: () => NUDGE * random() });
        consider(again.best);
        columns = uniqueColumns([...columns, ...again.columns]);
      }
    },
    () => consider(polish(model, columns, root, plan, control, mostPatterns)),
    () => {
      tell('proving', bound, plan.cost, columns.length);
      const proof = prove(model, root, plan, bound, control, mostPatterns);
      consider(proof.plan);
      bound = roundUp(model, Math.max(bound, Math.min(proof.bound, plan.cost)));
    },
  ];
  for (const step of steps) {
    if (closed() || late()) break;
    tell('improving', bound, plan.cost, columns.length);
    step();
  }
  return { plan, bound, columns: columns.length, outOfTime: late() };
}
