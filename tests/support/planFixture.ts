// A small plan and its problem, written by hand from invented figures (not by the planner), for tests of pictures
// and pages: roll R7030 with a streak, three runs, a stub. `alike` rolls of it are cut the same way.
import type { Plan } from '../../src/domain/plan.ts';
import type { Problem } from '../../src/domain/problem.ts';
import { type ProblemDocument, parseProblem } from '../../src/domain/problemDocument.ts';

const strips = (start: number, widths: [number, string | undefined][]) => {
  let at = start;
  return widths.map(([width, order]) => {
    const fromMm = at;
    at += width;
    return order === undefined ? { fromMm, toMm: at, waste: true as const } : { fromMm, toMm: at, order };
  });
};
const of = (count: number, width: number, order: string | undefined): [number, string | undefined][] =>
  Array.from({ length: count }, () => [width, order]);

export function fixtureDocument(): ProblemDocument {
  return {
    format: 'lanewright-problem/1',
    planOn: '2027-03-01',
    currency: 'EUR',
    slitters: [
      {
        id: 'SL-1',
        maxWebWidthMm: 1080,
        minStripWidthMm: 25,
        maxStrips: 32,
        edgeTrimMinMm: { left: 6, right: 6 },
        edgeTrimMaxMm: { left: 40, right: 60 },
        minutesPerSetup: 30,
        minutesPerKnifeMove: 1.5,
        minutesPerSetChange: 2.5,
        metresPerMinute: 200,
        leadInM: 30,
        costPerHour: 60,
      },
    ],
    products: [{ id: 'CP-10', layerThicknessUm: 8.2, coreOutsideDiameterMm: 32.5, slitters: ['SL-1'] }],
    rolls: [
      {
        id: 'R7030',
        kind: 'coated',
        item: 'CP-10',
        widthMm: 1050,
        lengthM: 11400,
        costPerRoll: 900,
        defects: [{ fromM: 0, toM: 2600, fromMm: 300, toMm: 306, kind: 'streak' }],
      },
    ],
    orders: [
      { id: 'SO-4101', product: 'CP-10', widthMm: 83, lengthM: 300, rolls: 24, dueOn: '2027-03-17' },
      { id: 'SO-4102', product: 'CP-10', widthMm: 110, lengthM: 300, rolls: 124, overPct: 10, underPct: 10 },
      {
        id: 'SO-4103',
        product: 'CP-10',
        widthMm: 216,
        lengthM: 450,
        rolls: 34,
        dueOn: '2027-03-08',
        priority: 'rush',
      },
    ],
  };
}

export function fixtureProblem(): Problem {
  const read = parseProblem(fixtureDocument());
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return read.problem;
}

/** The hand-written plan; its figures are for show and are not claimed to be the best. */
export function fixturePlan(): Plan {
  const run = { slitter: 'SL-1', product: 'CP-10', startsOn: '2027-03-01', trimLeftMm: 8 };
  return {
    format: 'lanewright-plan/1',
    status: 'short',
    currency: 'EUR',
    cost: { total: 912.4, material: 850.1, setups: 35, running: 27.3, late: 0, short: 0, purchases: 0 },
    bound: { cost: 905.9, gapPct: 0.72 },
    runs: [
      {
        ...run,
        sequence: 1,
        lengthM: 300,
        sets: 8,
        trimRightMm: 19,
        minutes: 81.5,
        knifeMoves: 12,
        from: [{ roll: 'R7030', sets: 8, startM: 30 }],
        strips: strips(8, [
          ...of(2, 110, 'SO-4102'),
          ...of(1, 80, undefined),
          ...of(3, 83, 'SO-4101'),
          ...of(4, 110, 'SO-4102'),
          ...of(1, 34, undefined),
        ]),
      },
      {
        ...run,
        sequence: 2,
        lengthM: 300,
        sets: 8,
        trimRightMm: 52,
        minutes: 81.5,
        knifeMoves: 10,
        from: [{ roll: 'R7030', sets: 8, startM: 2430 }],
        strips: strips(8, of(9, 110, 'SO-4102')),
      },
      {
        ...run,
        sequence: 3,
        lengthM: 450,
        sets: 8,
        trimRightMm: 12,
        minutes: 90.2,
        knifeMoves: 5,
        from: [{ roll: 'R7030', sets: 8, startM: 4830 }],
        strips: strips(8, [...of(4, 216, 'SO-4103'), ...of(1, 83, 'SO-4101'), ...of(1, 83, undefined)]),
      },
    ],
    coating: [],
    purchases: [],
    orders: [
      {
        id: 'SO-4101',
        ordered: 24,
        planned: 24,
        over: 0,
        short: 0,
        readyOn: '2027-03-01',
        lateDays: 0,
        reasons: [],
      },
      {
        id: 'SO-4102',
        ordered: 124,
        planned: 120,
        over: 0,
        short: 0,
        readyOn: '2027-03-01',
        lateDays: 0,
        reasons: [],
      },
      {
        id: 'SO-4103',
        ordered: 34,
        planned: 32,
        over: 0,
        short: 2,
        readyOn: '2027-03-01',
        lateDays: 0,
        reasons: ['no roll is left that is wide enough'],
      },
    ],
    stubs: [{ roll: 'R7030', widthMm: 1050, lengthM: 2970, keep: true }],
    yield: {
      inputM2: 11970,
      orderedM2: 8000,
      overM2: 0,
      fillerM2: 0,
      edgeTrimM2: 190,
      wasteStripM2: 600,
      leadInM2: 31.5,
      defectM2: 30,
      stubM2: 3118.5,
      areaYieldPct: 90.4,
    },
    marginal: [
      { order: 'SO-4101', costPerRoll: 4.1 },
      { order: 'SO-4102', costPerRoll: 5.4 },
      { order: 'SO-4103', costPerRoll: 16.2 },
    ],
    stopped: 'time',
  };
}
