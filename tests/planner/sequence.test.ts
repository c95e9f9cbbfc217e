// The order of jobs on a slitter: the constructed case knife-sequence-5, and small random work with mixed rolls, rolls
// ready later, use-by days and due days, against every way of cutting it.
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { ROUND_THE_CLOCK, workDays } from '../../src/domain/workCalendar.ts';
import type { Placed } from '../../src/planner/layingOut/placeStrips.ts';
import { bestSequence, follow, goodOrder } from '../../src/planner/layingOut/sequence.ts';
import { isLess, MOVES, OPEN } from '../../src/planner/layingOut/sequenceScore.ts';
import {
  atTheStart,
  cutJob,
  nextJobs,
  piecesOf,
  type State,
  type Task,
  taskOf,
} from '../../src/planner/layingOut/sequenceSteps.ts';
import { type Job, type Work, workOf } from '../../src/planner/layingOut/sequenceWork.ts';
import { settle } from '../../src/planner/layingOut/threading.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import type { Source } from '../../src/planner/model/model.ts';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';
import { cuttingStock, readCase } from '../readCases.ts';

const range = (n: number) => Array.from({ length: n }, (_, k) => k);
const published = readCase('constructed/knife-sequence-5') as ReturnType<typeof readCase> & {
  knife_positions: Record<string, number[]>;
};
const STRIPS: Record<string, number[]> = {
  A: [50, 50],
  B: [55, 55],
  C: [75, 20],
  D: [50, 20, 20, 20],
  E: [45, 45, 20],
};
const NAMES = Object.keys(STRIPS);

/** The five patterns, one roll each, as work of a slitter whose left edge is fixed. */
function fivePatterns() {
  const widths = [75, 55, 50, 45, 20];
  const items = widths.map((width) => ({ width, demand: 9 }));
  const document = cuttingStock([110], items, {
    slitter: { edgeTrimMaxMm: { left: 0 }, minutesPerKnifeMove: 1, costPerHour: 60 },
  });
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  const model = buildModel(parsed.problem);
  const [site] = model.sites;
  const sets = NAMES.map((name) => ({
    times: 1,
    pattern: {
      site: 0,
      counts: site!.widthsUm.map((um) => STRIPS[name]!.filter((width) => width * 1000 === um).length),
    },
  }));
  const short = model.demands.map(() => 0);
  const [work] = workOf(parsed.problem, model, { sets, layouts: [], short, bought: [], cost: 0 });
  return { model, work: work! };
}

const listed = NAMES.map(
  (name) => ({ lanes: [], knivesUm: published.knife_positions[name]!.map((mm) => mm * 1000) }) as Placed,
);

describe('knife-sequence-5', () => {
  const { model, work } = fivePatterns();
  const { order_ABCDE, best, worst, best_with_free_strip_order } = published.verified_answer;
  test('strips as listed: the patterns in the order ABCDE move 9 knives', () => {
    expect(follow(taskOf(work, listed), range(5)).score[MOVES]).toBe(order_ABCDE);
  });
  test('strips as listed: the best order moves 6, proved', () => {
    const task = taskOf(work, listed);
    const { end, exact } = bestSequence(task, follow(task, range(5)));
    expect(exact).toBe(true);
    expect(end.score[MOVES]).toBe(best);
    expect(goodOrder(task).score[MOVES]).toBe(best);
    expect(Math.max(...everyEnd(task).map((each) => each.score[MOVES]!))).toBe(worst);
  });
  test('strips in any order: 6 knives move', () => {
    expect(settle(model, work).end.score[MOVES]).toBe(best_with_free_strip_order);
  });
});

describe('open-stacks-10x10', () => {
  const open = readCase('textbook/open-stacks-10x10') as ReturnType<typeof readCase> & {
    constraints: { matrix_rows: number[][] };
  };
  const { matrix_rows: rows } = open.constraints;
  const transposed = rows[0]!.map((_, at) => rows.map((row) => row[at]!));
  /** One job a column; every row is a width of which each of its jobs gives a strip. No set-up costs anything. */
  function stacks(matrix: number[][]): Task {
    const jobs = matrix[0]!.map((_, j) => ({
      pattern: { site: 0, counts: [] },
      site: j,
      sets: 1,
      setting: 0,
      minutesPerSet: 0,
      gives: matrix.flatMap((row, due) => (row[j] === 1 ? [{ due, strips: 1 }] : [])),
      urgency: '',
    }));
    const source = { stock: 0, bad: [] };
    const kinds = jobs.map(({ site }) => ({
      source,
      chunks: [{ site, sets: 1 }],
      full: [1],
      sites: new Set([site]),
      count: 1,
      readyAt: 0,
    }));
    const dues = matrix.map((_, demand) => ({ demand, shares: [] }));
    const work = {
      slitter: { minutesPerSetup: 0, minutesPerKnifeMove: 0, costPerHour: 0 },
      jobs,
      kinds,
      dues,
      days: workDays(ROUND_THE_CLOCK, '2027-03-01' as IsoDate),
    };
    return taskOf(work as unknown as Work, [{ lanes: [], knivesUm: [0] }]);
  }
  test.each([
    ['rows as orders', rows],
    ['columns as orders', transposed],
  ])('%s: at most 5 are part-finished at once, proved', (_name, matrix) => {
    const task = stacks(matrix);
    const { end, exact } = bestSequence(task, goodOrder(task));
    expect(exact).toBe(true);
    expect(end.score[OPEN]).toBe(open.verified_answer.min_max_open);
  });
});

/** Every finished state, by plain search. */
function everyEnd(task: Task, state: State = atTheStart(task.work)): State[] {
  const choices = nextJobs(task.work, state);
  if (choices.length === 0) return [state];
  return choices.flatMap(({ job }) => everyEnd(task, cutJob(task, state, job)));
}

/** Random work: up to 6 jobs at 3 sites, rolls that give sets of one or two of them. */
function randomTask(seed: number): Task {
  const random = seededRandom(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const sites = whole(1, 3);
  const jobs = range(whole(2, 6)).map(
    (j): Job => ({
      pattern: { site: 0, counts: [] },
      site: j < sites ? j : whole(0, sites - 1),
      sets: whole(1, 6),
      setting: whole(0, 4),
      minutesPerSet: whole(0, 9) * 60,
      gives: range(whole(1, 2)).map((d) => ({ due: whole(0, 1) * 2 + d, strips: whole(1, 3) })),
      urgency: `${whole(0, 2)}`,
    }),
  );
  const stocks = whole(1, 2);
  const source = () => ({ stock: whole(0, stocks - 1), bad: [] }) as unknown as Source;
  const owed = range(sites).map((site) =>
    jobs.reduce((sum, job) => (job.site === site ? sum + job.sets : sum), 0),
  );
  const kinds: Work['kinds'] = [];
  while (owed.some((sets) => sets > 0)) {
    const inOrder = random() < 0.3;
    const chunks = range(sites)
      .filter((site) => owed[site]! > 0 && random() < 0.6)
      .map((site) => ({ site, sets: whole(1, 5), startsMm: inOrder ? [0] : undefined }));
    for (const { site, sets } of chunks) owed[site]! -= sets;
    if (chunks.length === 0) continue;
    const full = chunks.map(({ sets }) => sets);
    const roll = { source: source(), chunks, full, sites: new Set(chunks.map(({ site }) => site)) };
    kinds.push({ ...roll, count: 1, readyAt: random() < 0.3 ? whole(0, 3) * 1440 : 0 });
  }
  const useBy = range(4).map(() => (random() < 0.3 ? whole(1, 6) : Infinity));
  const share = () => ({ strips: whole(1, 12), rush: random() < 0.3, day: whole(0, 4) });
  const work = {
    slitter: {
      costPerHour: whole(0, 60),
      minutesPerSetup: whole(0, 200),
      minutesPerKnifeMove: whole(0, 20),
      knivesAtUm: random() < 0.5 ? [0, 10] : undefined,
    },
    days: workDays(
      random() < 0.5 ? ROUND_THE_CLOCK : { minutesPerDay: 600, closedOn: ['2027-03-02' as IsoDate] },
      '2027-03-01' as IsoDate,
    ),
    jobs,
    kinds,
    settings: range(5).map(() => ({ site: 0, counts: [] })),
    dues: range(4).map((demand) => ({ demand, shares: [share(), share(), { ...share(), strips: 99 }] })),
    perLateRollDay: random() < 0.7 ? whole(0, 5) : 0,
    dated: true,
    useByDay: (stock: number, k: number) => useBy[(stock + k) % 4]!,
  } as unknown as Work;
  const placed = range(5).map(
    () => ({ lanes: [], knivesUm: [0, ...range(whole(1, 5)).map(() => whole(1, 9) * 10)] }) as Placed,
  );
  return taskOf(work, placed);
}

describe('random work of a slitter', () => {
  test.each(range(150))('case %d: the exact order is as good as the best of all ways', (seed) => {
    const task = randomTask(seed);
    const ends = everyEnd(task);
    const best = ends.reduce((a, b) => (isLess(b.score, a.score) ? b : a));
    const found = bestSequence(task, goodOrder(task));
    expect(found.exact).toBe(true);
    expect(isLess(best.score, found.end.score), `${best.score} beats ${found.end.score}`).toBe(false);
    expect(isLess(found.end.score, best.score)).toBe(false);
  });

  test.each(range(150))('case %d: every set is cut once, each roll from one end to the other', (seed) => {
    const task = randomTask(seed);
    const pieces = piecesOf(bestSequence(task, goodOrder(task)).end);
    task.work.jobs.forEach((job, j) => {
      const own = pieces.filter((piece) => piece.job === j);
      expect(own.reduce((sum, { sets }) => sum + sets, 0)).toBe(job.sets);
    });
    const threaded = pieces.filter((piece) => piece.rolls > 0).map((piece) => piece.kind);
    expect(new Set(threaded).size).toBe(threaded.length);
    pieces.forEach((piece, at) => {
      if (piece.rolls === 0) expect(piece.kind).toBe(pieces[at - 1]?.kind);
      expect(piece.beginsAt).toBeGreaterThanOrEqual(task.work.kinds[piece.kind]!.readyAt);
    });
  });
});
