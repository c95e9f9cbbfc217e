// Valid plans made by hand for the checker's tests. The sums beside the numbers are the working on paper.
import type { Plan } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';

const slitter = {
  id: 'SL-1',
  maxWebWidthMm: 1080,
  minStripWidthMm: 25,
  maxStrips: 6,
  maxDistinctWidths: 2,
  maxWasteStrips: 1,
  edgeTrimMinMm: { left: 8, right: 8 },
  edgeTrimMaxMm: { left: 60, right: 60 },
  minutesPerSetup: 30,
  minutesPerKnifeMove: 1.5,
  minutesPerSetChange: 2.5,
  metresPerMinute: 150,
  rampUpSeconds: 30,
  rampDownSeconds: 20,
  leadInM: 30,
  tailM: 1.5,
  maxRollDiameterMm: 120,
  costPerHour: 60,
};

export const stockDocument: ProblemDocument = {
  format: 'lanewright-problem/1',
  planOn: '2027-03-01',
  currency: 'EUR',
  slitters: [slitter, { id: 'SL-2' }],
  grades: [{ id: 'BF-1' }],
  products: [
    {
      id: 'CP-1',
      layerThicknessUm: 8.2,
      coreOutsideDiameterMm: 32.5,
      slitters: ['SL-1'],
      coating: { grades: ['BF-1'], coatFreeEdgeMm: { left: 6, right: 6 } },
    },
    { id: 'CP-2' },
  ],
  rolls: [
    { id: 'R', kind: 'coated', item: 'CP-1', widthMm: 1050, lengthM: 1000, costPerRoll: 1050 },
    { id: 'Q', kind: 'coated', item: 'CP-1', widthMm: 600, lengthM: 1000, count: 2, costPerRoll: 600 },
  ],
  orders: [
    { id: 'A', product: 'CP-1', widthMm: 500, lengthM: 300, rolls: 6, dueOn: '2027-03-17' },
    { id: 'B', product: 'CP-1', widthMm: 200, lengthM: 300, rolls: 4, dueOn: '2027-02-27' },
    { id: 'C', product: 'CP-1', widthMm: 90, lengthM: 300, rolls: 2, underPct: 50 },
  ],
  fillers: [{ product: 'CP-1', widthMm: 100, lengthM: 300, valuePerRoll: 4.1, maxRolls: 40 }],
  costs: { perLateRollDay: 0.5, perShortM2: 5, holdingPerM2: 0.02 },
};

// One set runs 2 min (300 m) + 25 s (ramps) + 2.5 min (change) = 4.91666... min.
const setTime = 2 + 25 / 60 + 2.5;
// R whole: 1050. Q: 633 of 1000 m = 379.8; stub 0.6 x 367 m2 at 0.02 = 4.404; less two fillers = 8.2.
const material = 1050 + 379.8 + 4.404 - 8.2;
const total = material + 67.5 + 5 * setTime + 4 + 135;

export const stockPlan: Plan = {
  format: 'lanewright-plan/1',
  status: 'short',
  currency: 'EUR',
  // Two set-ups of 30 min and 5 knives x 1.5 min; 4 rolls 2 days late; one roll of 27 m2 short at 5.
  cost: { total, material, setups: 67.5, running: 5 * setTime, late: 4, short: 135, purchases: 0 },
  bound: { cost: 0.9 * total, gapPct: 10 },
  runs: [
    {
      sequence: 1,
      slitter: 'SL-1',
      product: 'CP-1',
      lengthM: 300,
      sets: 3,
      trimLeftMm: 25,
      trimRightMm: 25,
      strips: [
        { fromMm: 25, toMm: 525, order: 'A' },
        { fromMm: 525, toMm: 1025, order: 'A' },
      ],
      from: [{ roll: 'R', sets: 3, startM: 30 }],
      startsOn: '2027-03-01',
      minutes: 30 + 3 * setTime,
      knifeMoves: 3,
    },
    {
      sequence: 2,
      slitter: 'SL-1',
      product: 'CP-1',
      lengthM: 300,
      sets: 2,
      trimLeftMm: 8,
      trimRightMm: 20,
      strips: [
        { fromMm: 8, toMm: 208, order: 'B' },
        { fromMm: 208, toMm: 408, order: 'B' },
        { fromMm: 408, toMm: 508, filler: 0 },
        { fromMm: 508, toMm: 580, waste: true },
      ],
      from: [{ roll: 'Q#1', sets: 2, startM: 30 }],
      startsOn: '2027-03-01',
      minutes: 30 + 5 * 1.5 + 2 * setTime,
      knifeMoves: 5,
    },
  ],
  coating: [],
  purchases: [],
  orders: [
    { id: 'A', ordered: 6, planned: 6, over: 0, short: 0, readyOn: '2027-03-01', lateDays: 0, reasons: [] },
    {
      id: 'B',
      ordered: 4,
      planned: 4,
      over: 0,
      short: 0,
      readyOn: '2027-03-01',
      lateDays: 2,
      reasons: ['was due before'],
    },
    { id: 'C', ordered: 2, planned: 0, over: 0, short: 1, lateDays: 0, reasons: ['no room'] },
  ],
  stubs: [
    // 1000 - 30 - 3 x 301.5; below 300 + 30, so lost.
    { roll: 'R', widthMm: 1050, lengthM: 65.5, keep: false },
    { roll: 'Q#1', widthMm: 600, lengthM: 367, keep: true },
  ],
  yield: {
    inputM2: 1650,
    orderedM2: 6 * 150 + 4 * 60,
    overM2: 0,
    fillerM2: 60,
    // 50 mm x 900 m + 28 mm x 600 m
    edgeTrimM2: 45 + 16.8,
    wasteStripM2: 43.2,
    // 30 m x 1.65 m, tails 1.5 m x (3 x 1.05 + 2 x 0.6) m
    leadInM2: 49.5 + 6.525,
    defectM2: 0,
    stubM2: 68.775 + 220.2,
    areaYieldPct: (100 * 1200) / (1650 - 220.2),
  },
  marginal: [
    { order: 'A', costPerRoll: 170 },
    { order: 'C', costPerRoll: 135 },
  ],
  stopped: 'search-ended',
};

export const boughtDocument: ProblemDocument = {
  format: 'lanewright-problem/1',
  planOn: '2027-03-01',
  currency: 'EUR',
  slitters: [{ id: 'SL-1' }],
  grades: [{ id: 'BF-1', thicknessUm: 10, densityGPerCm3: 2 }],
  products: [
    {
      id: 'CP-1',
      coating: {
        grades: ['BF-1'],
        coatFreeEdgeMm: { left: 5, right: 5 },
        lossM: 100,
        costPerM2: 0.1,
        leadDays: 5,
      },
    },
  ],
  offers: [
    {
      id: 'O',
      supplier: 'S1',
      grade: 'BF-1',
      widthRangeMm: { min: 400, max: 1000, step: 50 },
      rollLengthM: 1000,
      pricePerKg: 10,
      minOrderKg: 20,
      leadTimeDays: 3,
    },
  ],
  orders: [{ id: 'A', product: 'CP-1', widthMm: 490, lengthM: 300, rolls: 2 }],
  costs: { holdingPerM2: 0.02 },
};

// Each roll 0.5 x 1000 m2 x 20 g/m2 = 10 kg = 100. Of O#1 100 m are lost at the coater and 600 m coated, 0.49 x 600 m2
// at 0.1 = 29.4; the other 300 m stay base film and are worth nothing here; the whole price is in purchases.
const boughtMaterial = 29.4;

export const boughtPlan: Plan = {
  format: 'lanewright-plan/1',
  status: 'best',
  currency: 'EUR',
  cost: {
    total: 200 + boughtMaterial,
    material: boughtMaterial,
    setups: 0,
    running: 0,
    late: 0,
    short: 0,
    purchases: 200,
  },
  bound: { cost: 200 + boughtMaterial, gapPct: 0 },
  runs: [
    {
      sequence: 1,
      slitter: 'SL-1',
      product: 'CP-1',
      lengthM: 300,
      sets: 2,
      trimLeftMm: 5,
      trimRightMm: 5,
      strips: [{ fromMm: 5, toMm: 495, order: 'A' }],
      from: [{ roll: 'O#1', sets: 2, startM: 0 }],
      startsOn: '2027-03-09',
      minutes: 0,
      knifeMoves: 2,
    },
  ],
  coating: [{ roll: 'O#1', product: 'CP-1', lengthM: 600, readyOn: '2027-03-09' }],
  purchases: [
    { offer: 'O', widthMm: 500, rolls: 2, kg: 20, cost: 200, orderBy: '2027-03-01', arrivesOn: '2027-03-04' },
  ],
  orders: [
    { id: 'A', ordered: 2, planned: 2, over: 0, short: 0, readyOn: '2027-03-09', lateDays: 0, reasons: [] },
  ],
  stubs: [{ roll: 'O#1', widthMm: 500, lengthM: 300, keep: true }],
  yield: {
    inputM2: 500,
    orderedM2: 2 * 147,
    overM2: 0,
    fillerM2: 0,
    edgeTrimM2: 6,
    wasteStripM2: 0,
    leadInM2: 50,
    defectM2: 0,
    stubM2: 150,
    areaYieldPct: (100 * 294) / 350,
  },
  marginal: [],
  stopped: 'proved',
};

export const flawedDocument: ProblemDocument = {
  format: 'lanewright-problem/1',
  slitters: [{ id: 'SL-1' }],
  products: [{ id: 'CP-1' }],
  rolls: [
    {
      id: 'F',
      kind: 'coated',
      item: 'CP-1',
      widthMm: 420,
      lengthM: 202,
      costPerRoll: 84,
      defects: [
        { fromM: 0, toM: 202, fromMm: 200, toMm: 220, kind: 'streak' },
        { fromM: 100, toM: 101, kind: 'flag' },
      ],
    },
  ],
  orders: [{ id: 'A', product: 'CP-1', widthMm: 200, lengthM: 100, rolls: 4 }],
};

export const flawedPlan: Plan = {
  format: 'lanewright-plan/1',
  status: 'best',
  currency: '',
  cost: { total: 84, material: 84, setups: 0, running: 0, late: 0, short: 0, purchases: 0 },
  bound: { cost: 84, gapPct: 0 },
  runs: [
    {
      sequence: 1,
      slitter: 'SL-1',
      product: 'CP-1',
      lengthM: 100,
      sets: 2,
      trimLeftMm: 0,
      trimRightMm: 0,
      strips: [
        { fromMm: 0, toMm: 200, order: 'A' },
        { fromMm: 200, toMm: 220, waste: true },
        { fromMm: 220, toMm: 420, order: 'A' },
      ],
      from: [
        { roll: 'F', sets: 1, startM: 0 },
        { roll: 'F', sets: 1, startM: 101 },
      ],
      minutes: 0,
      knifeMoves: 4,
    },
  ],
  coating: [],
  purchases: [],
  orders: [{ id: 'A', ordered: 4, planned: 4, over: 0, short: 0, lateDays: 0, reasons: [] }],
  stubs: [{ roll: 'F', widthMm: 420, lengthM: 1, keep: false }],
  yield: {
    inputM2: 84.84,
    orderedM2: 80,
    overM2: 0,
    fillerM2: 0,
    edgeTrimM2: 0,
    wasteStripM2: 4,
    leadInM2: 0,
    defectM2: 0.42,
    stubM2: 0.42,
    areaYieldPct: 8000 / 84.84,
  },
  marginal: [{ order: 'A', costPerRoll: 21 }],
  stopped: 'proved',
};
