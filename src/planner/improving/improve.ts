// From the first plan towards the best. Where set-ups count: some runs cut in another way, over and over (recut.ts), fewer
// patterns by combining them (fewerSetups.ts), integer programs over sets drawn from all that can be cut (polishDrawn.ts)
// and over every pattern met so far, and a bound of its own (settingsBound.ts). Elsewhere: dives from nudged roundings,
// and dives that go back (diveAndGoBack.ts). Both: the proof (reduced-cost fixing, proof.ts). Stops when the cost meets
// the proven bound; what is cheaper with more set-ups or dearer with fewer stays as an alternative.
import type { PlanControl, PlanProgress } from '../../domain/plan.ts';
import { keeping } from '../../domain/timeKept.ts';
import { leastForShort, roundUp } from '../bounding/bounding.ts';
import { settingsBound } from '../bounding/settingsBound.ts';
import { setupBound } from '../bounding/setupBound.ts';
import type { Start } from '../building/begin.ts';
import { diveAndGoBack } from '../building/diveAndGoBack.ts';
import { dive, type IntegerPlan } from '../building/integerPlan.ts';
import type { Recutting } from '../building/recut.ts';
import { type Column, uniqueColumns } from '../model/columns.ts';
import type { Model } from '../model/model.ts';
import { seededRandom } from '../model/seededRandom.ts';
import { setupsCount } from '../model/setups.ts';
import { fewerSetups } from './fewerSetups.ts';
import { polish } from './polish.ts';
import { type Draw, openDraw } from './polishDrawn.ts';
import { prove } from './proof.ts';
import { distinctPatterns, type TradeOffPoint, tradeOff } from './tradeOff.ts';
import { withinPatterns } from './withinPatterns.ts';

export interface Improved {
  plan: IntegerPlan;
  /** Cost against number of patterns: each point a whole plan. */
  curve: TradeOffPoint[];
  bound: number;
  columns: number;
  outOfTime: boolean;
}

type Tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns?: number) => void;

const DIVES = 12;
const MOST_GIVING_UP = 3;
const NUDGE = 0.7;
const SHARE_AFTER_DRAWS = 0.5;
const SAME = 1e-6;
const RECUTS_IN_VAIN = 6;
const SHARE_AFTER_RECUTS = 0.45;

export function improve(model: Model, start: Start, control: PlanControl, tell: Tell): Improved {
  const search = openSearch(model, start, control);
  const { recutting, all } = start;
  const steps: (() => void)[] = search.countsPatterns
    ? [recutOnce, fewer, within, recutMore, dived, drawn, polished, fewer, bounded, proved, polished]
    : [proved, polished, dives, polished, wentBack];
  for (const step of steps) {
    if (search.closed() || search.late()) break;
    tell('improving', search.bound(), search.plan().cost, search.columns.length);
    step();
  }
  within();
  return {
    plan: search.plan(),
    curve: tradeOff(model, search.plans),
    bound: search.bound(),
    columns: search.columns.length,
    outOfTime: search.late(),
  };

  function fewer(): void {
    const effort = { setups: true, enough: -Infinity, control };
    search.offer(...fewerSetups(model, search.starts(), effort).map(({ plan }) => plan));
  }
  /** When no plan keeps the limit of patterns, those with the fewest give patterns up. */
  function within(): void {
    if (search.keepsLimit()) return;
    const fewest = tradeOff(model, search.plans).slice(-MOST_GIVING_UP);
    const effort = { setups: search.countsPatterns, enough: -Infinity, control };
    search.offer(...fewest.map(({ plan }) => withinPatterns(model, plan, start.mostPatterns, effort)));
  }
  function polished(): void {
    search.offer(
      polish(model, search.columns, start.root, search.plans, search.plan(), control, start.mostPatterns),
    );
  }
  function recutOnce(): void {
    search.offer(...(recutting?.once(search.plan()) ?? []));
  }
  function recutMore(): void {
    if (recutting) recutOn(recutting, search, keeping(control, SHARE_AFTER_RECUTS));
  }
  function bounded(): void {
    if (setupsCount(model)) search.raise(settingsBound(model, control));
  }
  function dived(): void {
    const found = start.diveLater?.();
    search.offer(found?.best);
    search.columns = uniqueColumns([...search.columns, ...(found?.columns ?? [])]);
  }
  function drawn(): void {
    const draw = all && openDraw(model, all, start, control, start.mostPatterns);
    if (draw) drawOn(draw, search, keeping(control, SHARE_AFTER_DRAWS));
  }
  function dives(): void {
    const random = seededRandom(1);
    for (let i = 0; i < DIVES && !search.closed() && !search.late(); i++) {
      const effort = { setups: search.countsPatterns, enough: search.bound(), control };
      const again = dive(model, start.withSetups, effort, { nudge: () => NUDGE * random() });
      search.offer(again.best);
      search.columns = uniqueColumns([...search.columns, ...again.columns]);
    }
  }
  function wentBack(): void {
    if (model.costStep === 0) return;
    search.offer(diveAndGoBack(model, start.root, { setups: false, enough: search.bound(), control }));
  }
  function proved(): void {
    tell('proving', search.bound(), search.plan().cost, search.columns.length);
    const setups = search.setups();
    const known = { bound: search.bound(), setups };
    const proof = prove(model, start.root, search.plan(), known, control, start.mostPatterns);
    search.offer(proof.plan);
    search.raise(proof.bound);
  }
}

function recutOn(recutting: Recutting, search: Search, { secondsLeft }: PlanControl): void {
  for (let inVain = 0; inVain < RECUTS_IN_VAIN && recutting.goesOn() && !search.closed(); ) {
    if (secondsLeft() <= 0) break;
    const before = search.plan();
    search.offer(...recutting.once(before));
    inVain = search.plan() === before ? inVain + 1 : 0;
  }
}

function drawOn(draw: Draw, search: Search, { secondsLeft }: PlanControl): void {
  for (let inVain = 0; inVain < draw.patience && !search.closed() && secondsLeft() > 0; ) {
    const plan = draw.better(search.plan());
    if (plan) search.offer(plan);
    inVain = plan ? 0 : inVain + 1;
  }
}

interface Search {
  plans: IntegerPlan[];
  columns: Column[];
  countsPatterns: boolean;
  /** The cheapest plan with no more patterns than allowed; when none has so few, the one with the fewest. */
  plan(): IntegerPlan;
  keepsLimit(): boolean;
  starts(): IntegerPlan[];
  /** What set-ups cost at least in any plan cheaper than the one in hand. */
  setups(): number;
  bound(): number;
  raise(bound: number): void;
  offer(...found: (IntegerPlan | undefined)[]): void;
  closed(): boolean;
  late(): boolean;
}

function openSearch(model: Model, { root, first, mostPatterns }: Start, control: PlanControl): Search {
  if (!first.best) throw new Error('the first dive ended without a plan');
  const plans = [first.best];
  let proven = -Infinity;
  // only plans that fall short of nothing cost a whole number of steps
  const stepped = Math.min(roundUp(model, root.bound), root.bound + leastForShort(model, root));
  const search: Search = {
    plans,
    columns: uniqueColumns([...root.columns, ...first.columns]),
    countsPatterns: setupsCount(model) || mostPatterns < Infinity,
    plan: () => cheapest(model, plans, mostPatterns),
    keepsLimit: () => distinctPatterns(model, search.plan().sets) <= mostPatterns,
    starts: () => [search.plan(), ...plans.filter((plan) => plan !== search.plan()).slice(-2)],
    setups: () => setupBound(model, search.plan().cost),
    bound: () => Math.min(search.plan().cost, Math.max(proven, stepped + search.setups())),
    raise: (bound) => {
      proven = Math.max(proven, bound);
    },
    offer: (...found) => {
      for (const plan of found) if (plan) plans.push(plan);
    },
    closed: () =>
      search.keepsLimit() &&
      search.plan().cost - search.bound() <= SAME * Math.max(1, Math.abs(search.plan().cost)),
    late: () => control.secondsLeft() <= 0,
  };
  return search;
}

function cheapest(model: Model, plans: IntegerPlan[], mostPatterns: number): IntegerPlan {
  const excess = (plan: IntegerPlan) => Math.max(0, distinctPatterns(model, plan.sets) - mostPatterns);
  const rank = (plan: IntegerPlan) => (mostPatterns === Infinity ? 0 : excess(plan));
  return plans.reduce((best, plan) => {
    const [a, b] = [rank(plan), rank(best)];
    return a < b || (a === b && plan.cost < best.cost - SAME) ? plan : best;
  });
}
