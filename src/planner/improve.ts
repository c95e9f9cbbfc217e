// From the first dive towards the best plan: an integer program over every column met so far, dives from nudged
// roundings, and then the proof - all columns that could be part of a cheaper plan are listed, and an integer program
// over them either finds that plan or proves that there is none (reduced-cost fixing).
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

type Tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns?: number) => void;

const DIVES = 12;
const NUDGE = 0.7;
const SAME = 1e-6;

export function improve(
  model: Model,
  root: Relaxation,
  first: Dive,
  control: PlanControl,
  tell: Tell,
): Improved {
  if (!first.best) throw new Error('the first dive ended without a plan');
  let plan = first.best;
  let bound = roundUp(model, root.bound);
  let columns = first.columns;
  const closed = () => plan.cost - bound <= SAME * Math.max(1, Math.abs(plan.cost));
  const late = () => control.secondsLeft() <= 0;
  const consider = (found: IntegerPlan | undefined) => {
    if (found && found.cost < plan.cost - SAME) plan = found;
  };
  const steps = [
    () => consider(polish(model, columns, root, plan, control)),
    () => {
      const random = seededRandom(1);
      for (let i = 0; i < DIVES && !closed() && !late(); i++) {
        const again = dive(model, root, { enough: bound, control }, { nudge: () => NUDGE * random() });
        consider(again.best);
        columns = uniqueColumns([...columns, ...again.columns]);
      }
    },
    () => consider(polish(model, columns, root, plan, control)),
    () => {
      tell('proving', bound, plan.cost, columns.length);
      const proof = prove(model, root, plan, control);
      consider(proof.plan);
      bound = Math.max(bound, Math.min(proof.bound, plan.cost));
    },
  ];
  columns = uniqueColumns(columns);
  for (const step of steps) {
    if (closed() || late()) break;
    tell('improving', bound, plan.cost, columns.length);
    step();
  }
  return { plan, bound, columns: columns.length, outOfTime: late() };
}
