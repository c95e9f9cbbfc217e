// Every set whose reduced cost is below a gap, by the same search as pricing, but keeping all and improving none.
// Where surplus strips may go to waste, sets to which a strip could be added are left out: the fuller set serves.
import { fullSetsServe } from '../building/setupLinks.ts';
import { wholeRollCost } from '../model/columns.ts';
import type { Model, Pattern, Site } from '../model/model.ts';
import { mayStand } from '../model/standingStrips.ts';
import { needsCap } from '../planRows/demandNotExceeded.ts';
import type { Worth } from './master.ts';
import {
  acceptsRemainder,
  give,
  MARGIN,
  mostHere,
  openSearch,
  reach,
  type Search,
  take,
  unsorted,
} from './patternSearch.ts';

const NODES = 3_000_000;

/** undefined when there are more than `most`, or the search does not end. `settings`: whether these count. */
export function listPatterns(
  model: Model,
  worth: Worth,
  gap: number,
  most: number,
  settings: boolean,
): Pattern[] | undefined {
  const all: Pattern[] = [];
  for (const site of model.sites) {
    const values = site.demands.map((d, k) => {
      const value = worth.strip[d] - site.costPerStrip[k];
      return settings && mayStand(model, site, k) ? Math.max(0, value) : value;
    });
    const strips = site.demands.map((d) => model.demands[d].max);
    const source = site.wholeRollOf;
    const roll = source === undefined ? 0 : wholeRollCost(model, site.index) - worth.roll[source];
    const above = site.costPerSet - worth.set[site.index] + roll - gap;
    const search = openSearch(site, { values, most: strips, above, nodes: NODES, all: true });
    const onlyFull = settings
      ? fullSetsServe(site)
      : !site.demands.some((d, k) => needsCap(model, d) || site.costPerStrip[k] > 0);
    list({ search, onlyFull, most: most - all.length }, 0, 0, search.stretch[0], 0);
    if (search.nodesLeft < 0) return undefined;
    for (const counts of distinct(search, site)) all.push({ site: site.index, counts });
  }
  return all;
}

interface Listing {
  search: Search;
  onlyFull: boolean;
  most: number;
}

function list(listing: Listing, s: number, k: number, rest: number, value: number): void {
  const { search } = listing;
  if (--search.nodesLeft < 0) return;
  let at = k;
  while (at < search.entry.length && mostHere(search, at, rest) === 0) at++;
  if (at >= search.entry.length) {
    search.used[s] = search.stretch[s] - rest;
    if (s + 1 < search.stretch.length) list(listing, s + 1, 0, search.stretch[s + 1], value);
    else record(listing, value);
    search.used[s] = 0;
    return;
  }
  if (value + reach(search, s, at, rest) <= search.best + MARGIN) {
    if (value <= search.best) return;
  }
  const fresh = search.groupCount[search.group[at]] === 0;
  for (let n = mostHere(search, at, rest); n >= 0 && search.nodesLeft >= 0; n--) {
    take(search, at, n, fresh);
    list(listing, s, at + 1, rest - n * search.width[at], value + n * search.value[at]);
    give(search, at, n, fresh);
  }
}

function record({ search, onlyFull, most }: Listing, value: number): void {
  if (value <= search.best || search.counts.every((n) => n === 0)) return;
  if (!acceptsRemainder(search.site, search.used, search.spent)) return;
  if (onlyFull && couldTakeMore(search)) return;
  search.found.push({ value, counts: search.counts.slice() });
  if (search.found.length > most) search.nodesLeft = -1;
}

/** Whether one more strip fits and leaves a remainder that trims and waste strips can still take away. */
function couldTakeMore(search: Search): boolean {
  return search.stretch.some((length, s) =>
    search.entry.some(
      (_, at) => mostHere(search, at, length - search.used[s]) > 0 && acceptsOneMore(search, s, at),
    ),
  );
}

function acceptsOneMore(search: Search, s: number, at: number): boolean {
  const fresh = search.groupCount[search.group[at]] === 0;
  take(search, at, 1, fresh);
  search.used[s] += search.width[at];
  const accepted = acceptsRemainder(search.site, search.used, search.spent);
  search.used[s] -= search.width[at];
  give(search, at, 1, fresh);
  return accepted;
}

/** The same strips may lie in different stretches; one of them is enough. */
function distinct(search: Search, site: Site): number[][] {
  const found = new Map<string, number[]>();
  for (const { counts } of search.found) {
    const own = unsorted(search, counts);
    found.set(own.join(','), own);
  }
  return site.web.length > 1
    ? [...found.values()]
    : search.found.map(({ counts }) => unsorted(search, counts));
}
