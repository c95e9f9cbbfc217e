// Everything that can be cut in a small problem, listed: sets across the web, layouts along the rolls, and the classes of
// film that become ready on one slitter on one day. Days do not enter into the lists: lateness is left out of the model.
import type { Problem } from '../../domain/problem.ts';
import { daysBetween } from '../../domain/units.ts';
import { listLayouts } from '../bounding/listLayouts.ts';
import { listPatterns } from '../bounding/listPatterns.ts';
import type { Worth } from '../bounding/master.ts';
import { buildModel } from '../model/buildModel.ts';
import type { Layout, Model, Pattern, Source } from '../model/model.ts';
import { sitesOf } from '../model/siteSources.ts';

/** Longer lists make programs that take too long while somebody waits (measured: some seconds). */
const MOST_PATTERNS = 400;
const MOST_LAYOUTS = 1500;
const MOST_OFFERED_WIDTHS = 12;

export interface DatedPool {
  model: Model;
  patterns: Pattern[];
  layouts: Layout[];
  classes: FilmClass[];
  /** For each site the classes whose film gives sets there. */
  classesOf: number[][];
  /** For each source its class. */
  classOf: number[];
}

/** Film that can be slit on one slitter from one day on, counted from the day of planning. */
export interface FilmClass {
  slitter: string;
  day: number;
}

/** undefined where there is too much to list. */
export function datedPool(problem: Problem): DatedPool | undefined {
  const widths = problem.offers.reduce((sum, offer) => sum + widthsOf(offer), 0);
  if (widths > MOST_OFFERED_WIDTHS) return undefined;
  const model = buildModel({
    ...problem,
    fillers: [],
    costs: { ...problem.costs, perLateRollDay: 0 },
  });
  const nothing = worthNothing(model);
  const patterns = listPatterns(model, nothing, Number.POSITIVE_INFINITY, MOST_PATTERNS, false);
  const layouts = patterns && allLayouts(model, nothing);
  return patterns && layouts && { model, patterns, layouts, ...classesOf(problem, model) };
}

const widthsOf = ({ widthMinUm, widthMaxUm, widthStepUm }: Problem['offers'][number]): number =>
  widthMinUm === widthMaxUm ? 1 : 1 + Math.floor((widthMaxUm - widthMinUm) / widthStepUm);

function allLayouts(model: Model, nothing: Worth): Layout[] | undefined {
  const all: Layout[] = [];
  for (const source of model.sources) {
    const own = listLayouts(model, nothing, Number.POSITIVE_INFINITY, MOST_LAYOUTS - all.length, source);
    if (!own) return undefined;
    all.push(...own);
  }
  return all;
}

const worthNothing = ({ demands, sites, sources, offers }: Model): Worth => ({
  strip: demands.map(() => 0),
  set: sites.map(() => 0),
  roll: sources.map(() => 0),
  slot: sites.map(() => 0),
  extra: offers.map(() => 0),
});

function classesOf(problem: Problem, model: Model) {
  const classes: FilmClass[] = [];
  const known = new Map<string, number>();
  const classOf = model.sources.map((source) => {
    const day = readyOf(problem, source);
    const key = `${source.slitter.id}|${day}`;
    const at = known.get(key) ?? classes.push({ slitter: source.slitter.id, day }) - 1;
    known.set(key, at);
    return at;
  });
  const bySite = model.sites.map(() => new Set<number>());
  for (const source of model.sources)
    for (const site of sitesOf(source)) bySite[site].add(classOf[source.index]);
  return { classes, classOf, classesOf: bySite.map((own) => [...own]) };
}

function readyOf({ planOn }: Problem, { readyOn }: Source): number {
  return planOn && readyOn ? Math.max(0, daysBetween(planOn, readyOn)) : 0;
}
