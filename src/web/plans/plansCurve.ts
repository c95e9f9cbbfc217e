// The other full plans of a problem on the curve of cost against set-ups: as a picture, as a table, and to be taken
// instead. A row's number is the alternative's place in the plan document, counted from 1.
import type { RequestHandler } from 'express';
import type { Plan } from '../../domain/plan.ts';
import { knifeMovesOf, rollsUsed, setUpsOf } from '../../domain/planCounts.ts';
import { chooseAlternative } from '../../usecases/planning/chooseAlternative.ts';
import { type CurvePicture, drawCurve } from '../drawings/pictureCurve.ts';
import type { Services } from '../services.ts';
import { count, grouped } from '../words.ts';
import { oneOf, planNumber } from './planForms.ts';
import { inMoney, money } from './planWords.ts';

interface CurveRow {
  /** undefined: the plan on the page. */
  place: number | undefined;
  setUps: string;
  knifeMoves: string;
  film: string;
  running: string;
  late: string;
  setting: string;
  made: string;
  rolls: string;
  short: string;
}
interface Curve {
  picture: CurvePicture;
  rows: CurveRow[];
  words: string[];
  /** Which columns say something. */
  anyLate: boolean;
  anyShort: boolean;
}

const madeCost = (plan: Plan) => plan.cost.total - plan.cost.short;
const missing = (plan: Plan) => plan.orders.reduce((sum, order) => sum + order.short, 0);

/** The curve of a plan; undefined when it stands alone. */
export function curveOf(plan: Plan): Curve | undefined {
  const others = plan.alternatives ?? [];
  if (others.length === 0) return undefined;
  const all = [{ plan, place: undefined }, ...others.map((other, i) => ({ plan: other, place: i + 1 }))];
  all.sort((a, b) => a.plan.cost.setups - b.plan.cost.setups);
  const points = all.map((one) => ({
    setUps: setUpsOf(one.plan),
    cost: madeCost(one.plan) - one.plan.cost.setups,
    label: one.place === undefined ? `this plan, ${money(madeCost(one.plan))}` : money(madeCost(one.plan)),
    title: `${one.place === undefined ? 'This plan' : 'Another plan'}: ${count(setUpsOf(one.plan), 'set-up')}, ${inMoney(plan, madeCost(one.plan))} in all`,
    chosen: one.place === undefined,
  }));
  return {
    picture: drawCurve(points, money),
    rows: all.map((one) => rowOf(one.plan, one.place)),
    words: neighbourWords(plan, others),
    anyLate: all.some((one) => one.plan.cost.late > 0),
    anyShort: all.some((one) => missing(one.plan) > 0),
  };
}

function rowOf(plan: Plan, place: number | undefined): CurveRow {
  return {
    place,
    setUps: grouped(setUpsOf(plan)),
    knifeMoves: grouped(knifeMovesOf(plan)),
    film: money(plan.cost.material + plan.cost.purchases),
    running: money(plan.cost.running),
    late: money(plan.cost.late),
    setting: money(plan.cost.setups),
    made: money(madeCost(plan)),
    rolls: grouped(rollsUsed(plan).size),
    short: grouped(missing(plan)),
  };
}

/** What the next plan on either side would cost or save. */
function neighbourWords(plan: Plan, others: readonly Plan[]): string[] {
  const sooner = others.filter((other) => other.cost.setups < plan.cost.setups).at(-1);
  const later = others.find((other) => other.cost.setups > plan.cost.setups);
  return [sooner, later].flatMap((other) => {
    if (!other) return [];
    const [setting, total] = [other.cost.setups - plan.cost.setups, madeCost(other) - madeCost(plan)];
    const rest = total - setting;
    const inAll =
      Math.abs(total) < 0.005
        ? 'the same in all'
        : `${inMoney(plan, Math.abs(total))} ${total > 0 ? 'more' : 'less'} in all`;
    return [
      `With ${count(setUpsOf(other), 'set-up')} setting up costs ${money(Math.abs(setting))} ${setting < 0 ? 'less' : 'more'}, everything else ${money(Math.abs(rest))} ${rest < 0 ? 'less' : 'more'}: ${inAll}.`,
    ];
  });
}

/** POST /plans/:id/choose: another point of the curve becomes a plan of its own. */
export function choosePost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = await chooseAlternative(services.db, planNumber(req.params.id), oneOf(req.body?.alternative));
    res.redirect(303, `/plans/${id}`);
  };
}
