// How an integer program counts settings of the knives: a set is cut only when its setting is there. For making plans
// every place of the knives is a setting (ownSettings). A bound must count fewer (sharedSettings): two sets with other
// strips can be cut with one setting when the strips of both fit side by side and each run slits those of the other as
// waste. Of sites that take the same sets full ones stand for all that they hold (listPatterns.ts), so there a setting
// serves just one set; where sets that are not full count, any that could go together share. Sets at sites that differ
// may share freely, so a slitter has at least as many settings as its sets at any one of them.
import type { Model, Pattern, Site } from '../model/model.ts';
import { knifeKey, setupCost, setupOf, stripsKey } from '../model/setups.ts';
import { leastTrim } from '../patternRules/edgeTrim.ts';
import type { Entry } from '../solvers/lp.ts';
import type { MipDraft } from '../solvers/mipDraft.ts';

export interface Settings {
  /** The entry that lets the pattern run, at most so many sets, only with its setting. */
  entriesOf(pattern: Pattern, most: number): Entry[];
  /** To be called after the last pattern; false when there are too many ways to share. */
  complete(): boolean;
  /** The column that says whether the pattern's setting is there. */
  columnOf(pattern: Pattern): number | undefined;
}

/** More ways to share a setting than this are not written out. */
const MOST_SHARED = 40_000;

/** One setting for each place of the knives. */
export function ownSettings(model: Model, draft: MipDraft, mostPatterns: number): Settings {
  const price = (pattern: Pattern) => setupOf(model, pattern);
  return openSettings(draft, mostPatterns, price, (pattern) => knifeKey(model, pattern));
}

/** No more settings than any plan must have. */
export function sharedSettings(model: Model, draft: MipDraft, mostPatterns: number): Settings {
  const classes = model.sites.map((site) => classOf(site));
  const alone = ({ place }: Site) =>
    new Set(classes.filter((_, s) => model.sites[s].place.slitter.id === place.slitter.id)).size === 1;
  const price = ({ site }: Pattern) => setupCost(model.sites[site]);
  return openSettings(draft, mostPatterns, price, keyOf, groupOf, (a, b) => mayShare(model, a, b));

  /** Without waste strips a setting is its strips, whatever they are for. */
  function keyOf(pattern: Pattern): string {
    const { slitter } = model.sites[pattern.site].place;
    return slitter.maxWasteStrips === 0
      ? `${slitter.id}|${stripsKey(model, pattern)}`
      : `${classes[pattern.site]}|${stripsKey(model, pattern)}`;
  }
  function groupOf({ site }: Pattern): Group {
    const { slitter } = model.sites[site].place;
    if (slitter.maxWasteStrips === 0) return { slitter: slitter.id, class: undefined, shares: false };
    const shares = !fullSetsServe(model.sites[site]);
    return { slitter: slitter.id, class: alone(model.sites[site]) ? undefined : classes[site], shares };
  }
}

/**
 * Whether, where settings of the knives count, only sets of this site need be listed to which no strip could be added:
 * surplus strips may go to waste (standingStrips.ts), and any sets cut with one setting are part of a fuller one.
 */
export function fullSetsServe({ place, budgets }: Site): boolean {
  return place.slitter.maxWasteStrips === Infinity && budgets.every((budget) => budget.eachWidth === 0);
}

/** Sites of one slitter that take the same sets, whatever these cost there. */
function classOf({ place, web, demands }: Site): string {
  const lanes = web.map(({ fromUm, toUm }) => `${fromUm}-${toUm}`);
  return [place.slitter.id, place.widthUm, lanes, demands].join('|');
}

interface Group {
  slitter: string;
  /** The sites among whose sets settings are counted; undefined: each setting of the slitter counts by itself. */
  class: string | undefined;
  /** Whether sets at these sites may share a setting. */
  shares: boolean;
}

interface Setting {
  column: number;
  pattern: Pattern;
  shares: boolean;
  rows: { row: number; most: number }[];
}

function openSettings(
  draft: MipDraft,
  mostPatterns: number,
  priceOf: (pattern: Pattern) => number,
  keyOf: (pattern: Pattern) => string,
  groupOf: (pattern: Pattern) => Group | undefined = () => undefined,
  mayShare: (a: Pattern, b: Pattern) => boolean = () => false,
): Settings {
  const counted = mostPatterns < Infinity ? draft.addRow(-Infinity, mostPatterns) : undefined;
  const entriesOfCount: Entry[] = counted === undefined ? [] : [[counted, 1]];
  const settings = new Map<string, Setting>();
  const ofSlitter = new Map<string, number>();
  const atClass = new Map<string, number>();
  return {
    entriesOf(pattern, most) {
      const row = draft.addRow(-Infinity, 0);
      const key = keyOf(pattern);
      let setting = settings.get(key);
      if (!setting) {
        setting = addSetting(pattern);
        settings.set(key, setting);
      }
      draft.addEntry(setting.column, [row, -most]);
      setting.rows.push({ row, most });
      return [[row, 1]];
    },
    complete: () => share(draft, [...settings.values()], mayShare),
    columnOf: (pattern) => settings.get(keyOf(pattern))?.column,
  };

  function addSetting(pattern: Pattern): Setting {
    const price = priceOf(pattern);
    const group = groupOf(pattern);
    const shares = group?.shares ?? false;
    const column =
      group?.class === undefined
        ? draft.addColumn(price, [...entriesOfCount], 1, true)
        : draft.addColumn(0, [[rowOf(group.class, slitterOf(group.slitter, price)), -1]], 1, true);
    return { column, pattern, shares, rows: [] };
  }
  /** Settings of the slitter, at least as many as at each of its sites. */
  function slitterOf(slitter: string, price: number): number {
    const known = ofSlitter.get(slitter);
    if (known !== undefined) return known;
    const column = draft.addColumn(price, [...entriesOfCount], Infinity, true);
    ofSlitter.set(slitter, column);
    return column;
  }
  function rowOf(sites: string, slitterColumn: number): number {
    const known = atClass.get(sites);
    if (known !== undefined) return known;
    const row = draft.addRow(0, Infinity);
    draft.addEntry(slitterColumn, [row, 1]);
    atClass.set(sites, row);
    return row;
  }
}

/** Lets each set that may share a setting run with that of any other: of those that do, one then stands for all. */
function share(draft: MipDraft, settings: Setting[], mayShare: (a: Pattern, b: Pattern) => boolean): boolean {
  const sharing = settings.filter(({ shares }) => shares);
  let shared = 0;
  for (const a of sharing) {
    for (const b of sharing) {
      if (a === b || !mayShare(a.pattern, b.pattern)) continue;
      if (++shared > MOST_SHARED) return false;
      for (const { row, most } of a.rows) draft.addEntry(b.column, [row, -most]);
    }
  }
  return true;
}

/** Whether strips for both sets, at sites that take the same ones, could lie side by side. */
function mayShare(model: Model, a: Pattern, b: Pattern): boolean {
  const site = model.sites[a.site];
  if (classOf(site) !== classOf(model.sites[b.site])) return false;
  const { slitter, widthUm } = site.place;
  const { left, right } = leastTrim(site.place);
  const [ofA, ofB] = [stripsByWidth(site, a), stripsByWidth(site, b)];
  let [strips, usedUm, wasteInA, wasteInB] = [0, 0, 0, 0];
  for (const width of new Set([...ofA.keys(), ...ofB.keys()])) {
    const [inA, inB] = [ofA.get(width) ?? 0, ofB.get(width) ?? 0];
    const most = Math.max(inA, inB);
    strips += most;
    usedUm += most * width;
    wasteInA += most - inA;
    wasteInB += most - inB;
  }
  return (
    usedUm <= widthUm - left - right &&
    strips <= slitter.maxStrips &&
    Math.max(wasteInA, wasteInB) <= slitter.maxWasteStrips
  );
}

function stripsByWidth({ widthsUm }: Site, { counts }: Pattern): Map<number, number> {
  const strips = new Map<number, number>();
  counts.forEach((n, k) => {
    if (n > 0) strips.set(widthsUm[k], (strips.get(widthsUm[k]) ?? 0) + n);
  });
  return strips;
}
