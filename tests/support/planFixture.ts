// A small plan and its problem, written by hand from invented figures (not by the planner), for tests of pictures
// and pages: roll R7030 with a streak, three runs, a stub. `alike` rolls of it are cut the same way.
import type { Plan } from '../../src/domain/plan.ts';
import type { Problem } from '../../src/domain/problem.ts';
import { type IsoDate, mm, um } from '../../src/domain/units.ts';

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

export function fixtureProblem(): Problem {
  return {
    planOn: '2027-03-01' as IsoDate,
    currency: 'EUR',
    slitters: [
      {
        id: 'SL-1',
        maxWebWidthUm: um(1080000),
        minStripWidthUm: um(25000),
        maxStrips: 32,
        maxDistinctWidths: 6,
        maxWasteStrips: 2,
        edgeTrimMinUm: { left: um(6000), right: um(6000) },
        edgeTrimMaxUm: { left: um(40000), right: um(40000) },
        minutesPerSetup: 30,
        minutesPerKnifeMove: 1.5,
        minutesPerSetChange: 2.5,
        metresPerMinute: 200,
        rampUpSeconds: 30,
        rampDownSeconds: 20,
        leadInMm: mm(30000),
        tailMm: mm(0),
        maxRollDiameterUm: um(120000),
        costPerHour: 60,
        knivesAtUm: undefined,
      },
    ],
    products: [
      {
        id: 'CP-10',
        layerThicknessUm: 8.2,
        coreOutsideDiameterUm: um(32500),
        maxSplicesPerRoll: 0,
        slitters: ['SL-1'],
        coating: undefined,
      },
    ],
    grades: [],
    rolls: [
      {
        id: 'R7030',
        kind: 'coated',
        item: 'CP-10',
        widthUm: um(1050000),
        lengthMm: mm(11400000),
        count: 1,
        readyOn: undefined,
        useBy: undefined,
        costPerRoll: 900,
        defects: [{ fromMm: mm(0), toMm: mm(2600000), fromUm: um(300000), toUm: um(306000), kind: 'streak' }],
      },
    ],
    offers: [],
    orders: [
      {
        id: 'SO-4101',
        product: 'CP-10',
        widthUm: um(83000),
        lengthMm: mm(300000),
        rolls: 24,
        minRolls: 23,
        maxRolls: 25,
        dueOn: '2027-03-17' as IsoDate,
        priority: 'normal',
      },
      {
        id: 'SO-4102',
        product: 'CP-10',
        widthUm: um(110000),
        lengthMm: mm(300000),
        rolls: 124,
        minRolls: 112,
        maxRolls: 136,
        dueOn: '2027-03-19' as IsoDate,
        priority: 'normal',
      },
      {
        id: 'SO-4103',
        product: 'CP-10',
        widthUm: um(216000),
        lengthMm: mm(450000),
        rolls: 24,
        minRolls: 24,
        maxRolls: 24,
        dueOn: '2027-03-08' as IsoDate,
        priority: 'rush',
      },
    ],
    fillers: [],
    costs: { perLateRollDay: 0.5, perShortM2: undefined, holdingPerM2: 0.02, stubKeepMinMm: undefined },
    maxPatterns: Number.POSITIVE_INFINITY,
  };
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
