// Three hand-made plans, every number worked out on paper, pass; and for every limit a plan that breaks it is caught.
import { readdirSync, readFileSync } from 'node:fs';
import { afterAll, describe, expect, test } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import {
  boughtDocument,
  boughtPlan,
  flawedDocument,
  flawedPlan,
  stockDocument,
  stockPlan,
} from './handMadePlans.ts';

type Breaks = [title: string, rule: string, change: (plan: Plan, document: ProblemDocument) => void];
const caught = new Set<string>();

function rulesBroken(document: ProblemDocument, plan: Plan): string[] {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  return checkPlan(parsed.problem, plan).map((fault) => fault.rule);
}

function catches(document: ProblemDocument, plan: Plan, cases: Breaks[]): void {
  test('passes as it is', () => expect(rulesBroken(document, plan)).toEqual([]));
  test.each(cases)('catches %s', (_title, rule, change) => {
    const [brokenPlan, brokenDocument] = [structuredClone(plan), structuredClone(document)];
    change(brokenPlan, brokenDocument);
    expect(rulesBroken(brokenDocument, brokenPlan)).toContain(rule);
    caught.add(rule);
  });
}

describe('a plan from stock, with a filler, a waste strip, a late and a short order', () => {
  catches(stockDocument, stockPlan, [
    ['a number that is none', 'finite-numbers', (plan) => (plan.cost.total = Number.NaN)],
    ['another format', 'format', (plan) => (plan.format = 'other' as Plan['format'])],
    ['another currency', 'currency', (plan) => (plan.currency = 'USD')],
    ['an unknown slitter', 'known-slitter', (plan) => (plan.runs[0]!.slitter = 'SL-9')],
    ['an unknown product', 'known-product', (plan) => (plan.runs[0]!.product = 'P-9')],
    ['a slitter that may not run the product', 'allowed-slitter', (plan) => (plan.runs[0]!.slitter = 'SL-2')],
    ['runs out of sequence', 'sequence', (plan) => (plan.runs[1]!.sequence = 3)],
    ['a finished length below a millimetre', 'finished-length', (plan) => (plan.runs[0]!.lengthM = 300.0004)],
    ['half a set', 'whole-sets', (plan) => (plan.runs[0]!.from[0]!.sets = 2.5)],
    ['sets that do not add up', 'sets-add-up', (plan) => (plan.runs[0]!.sets = 4)],
    [
      'rolls of two widths in one run',
      'one-web-width',
      (plan) => plan.runs[0]!.from.push({ roll: 'Q#2', sets: 1, startM: 30 }),
    ],
    ['a roll of another product', 'roll-product', (_plan, problem) => (problem.rolls![0]!.item = 'CP-2')],
    [
      'a web wider than the slitter',
      'web-width',
      (_plan, problem) => (problem.slitters[0]!.maxWebWidthMm = 1049),
    ],
    ['a strip for nobody', 'strip-owner', (plan) => (plan.runs[0]!.strips[0] = { fromMm: 25, toMm: 525 })],
    ['a strip for an unknown order', 'strip-owner', (plan) => (plan.runs[0]!.strips[0]!.order = 'X')],
    ['a strip for an unknown filler', 'strip-owner', (plan) => (plan.runs[1]!.strips[2]!.filler = 3)],
    ['a strip with two owners', 'strip-owner', (plan) => (plan.runs[1]!.strips[2]!.waste = true)],
    ['strips that overlap', 'gapless', (plan) => (plan.runs[0]!.strips[1]!.fromMm = 520)],
    ['a gap between strips', 'gapless', (plan) => (plan.runs[0]!.strips[1]!.fromMm = 530)],
    ['a right trim that does not end at the web edge', 'gapless', (plan) => (plan.runs[0]!.trimRightMm = 26)],
    [
      'a strip of no width',
      'left-to-right',
      (plan) => plan.runs[0]!.strips.splice(1, 0, { fromMm: 525, toMm: 525, waste: true }),
    ],
    [
      'a trim below the slitter minimum',
      'edge-trim',
      (_plan, problem) => (problem.slitters[0]!.edgeTrimMinMm!.left = 26),
    ],
    [
      'a strip nearer to the edge than its order wants it',
      'away-from-edge',
      (_plan, problem) => (problem.orders[0]!.awayFromEdgeMm = 200),
    ],
    [
      'a trim that leaves uncoated edge in a strip',
      'edge-trim',
      (_plan, problem) => (problem.products[0]!.coating!.coatFreeEdgeMm!.right = 26),
    ],
    [
      'a trim above the maximum',
      'edge-trim',
      (_plan, problem) => (problem.slitters[0]!.edgeTrimMaxMm!.right = 24),
    ],
    [
      'a strip 1 um narrower than its order',
      'strip-width',
      (plan) => (plan.runs[0]!.strips[0]!.fromMm = 25.001),
    ],
    ['a filler of another width', 'strip-width', (_plan, problem) => (problem.fillers![0]!.widthMm = 99)],
    [
      'a strip of another product',
      'strip-product',
      (_plan, problem) => (problem.orders[0]!.product = 'CP-2'),
    ],
    ['a strip of another length', 'strip-length', (_plan, problem) => (problem.orders[0]!.lengthM = 299)],
    [
      'a strip below the least width',
      'min-strip-width',
      (_plan, problem) => (problem.slitters[0]!.minStripWidthMm = 101),
    ],
    [
      'a waste strip too many for the knives',
      'max-strips',
      (_plan, problem) => (problem.slitters[0]!.maxStrips = 3),
    ],
    [
      'a waste strip too many',
      'max-waste-strips',
      (_plan, problem) => (problem.slitters[0]!.maxWasteStrips = 0),
    ],
    [
      'a second distinct width',
      'max-distinct-widths',
      (_plan, problem) => (problem.slitters[0]!.maxDistinctWidths = 1),
    ],
    [
      'a finished roll too thick',
      'roll-diameter',
      (_plan, problem) => (problem.slitters[0]!.maxRollDiameterMm = 60),
    ],
    ['an unknown roll', 'known-roll', (plan) => (plan.runs[0]!.from[0]!.roll = 'X')],
    ['a roll beyond the count', 'known-roll', (plan) => (plan.runs[1]!.from[0]!.roll = 'Q#3')],
    ['several rolls named as one', 'known-roll', (plan) => (plan.runs[1]!.from[0]!.roll = 'Q')],
    [
      'a roll on two slitters',
      'one-slitter-per-roll',
      (plan) => plan.runs.push({ ...plan.runs[0]!, sequence: 3, slitter: 'SL-2' }),
    ],
    ['a start inside the lead-in', 'lead-in', (plan) => (plan.runs[0]!.from[0]!.startM = 29)],
    [
      'a set too many for the roll',
      'roll-length',
      (plan) => (plan.runs[0]!.from[0]!.sets = plan.runs[0]!.sets = 4),
    ],
    ['the same metres used twice', 'no-overlap', (plan) => plan.runs.push({ ...plan.runs[0]!, sequence: 3 })],
    ['a stub that is not listed', 'stubs', (plan) => plan.stubs.pop()],
    ['a lost stub called kept', 'stubs', (plan) => (plan.stubs[0]!.keep = true)],
    [
      'a stub of an unused roll',
      'stubs',
      (plan) => plan.stubs.push({ roll: 'Q#2', widthMm: 600, lengthM: 1000, keep: true }),
    ],
    ['a stub listed twice', 'stubs', (plan) => plan.stubs.push(plan.stubs[0]!)],
    ['an order left out', 'each-order-once', (plan) => plan.orders.pop()],
    ['an order listed twice', 'each-order-once', (plan) => plan.orders.push(plan.orders[0]!)],
    ['a wrong ordered quantity', 'order-ordered', (plan) => (plan.orders[0]!.ordered = 5)],
    [
      'a planned quantity that the runs do not make',
      'order-planned',
      (plan) => (plan.orders[0]!.planned = 5),
    ],
    ['an over-run not stated', 'order-over', (_plan, problem) => (problem.orders[0]!.rolls = 5)],
    ['more than the tolerance allows', 'over-tolerance', (_plan, problem) => (problem.orders[0]!.rolls = 5)],
    ['a shortfall not stated', 'order-short', (plan) => (plan.orders[2]!.short = 0)],
    ['a short order without a reason', 'reasons', (plan) => (plan.orders[2]!.reasons = [])],
    ['a late order without a reason', 'reasons', (plan) => (plan.orders[1]!.reasons = [' '])],
    ['a filler too many', 'filler-count', (_plan, problem) => (problem.fillers![0]!.maxRolls = 1)],
    ['a pattern too many', 'max-patterns', (_plan, problem) => (problem.limits = { maxPatterns: 1 })],
    ['a run without its day', 'starts-on', (plan) => delete plan.runs[0]!.startsOn],
    ['a run before the day of planning', 'starts-on', (plan) => (plan.runs[0]!.startsOn = '2027-02-28')],
    [
      'a run on a slitter that is still busy',
      'slitter-free',
      (plan, problem) => {
        problem.slitters[0]!.minutesPerSetup = 1500;
        plan.runs[1]!.startsOn = '2027-03-01';
      },
    ],
    [
      'a run on a day on which its slitter is closed',
      'slitter-open',
      (plan, problem) => (problem.slitters[0]!.calendar = { closedOn: [plan.runs[0]!.startsOn!] }),
    ],
    [
      'a roll that is not ready',
      'roll-ready',
      (_plan, problem) => (problem.rolls![0]!.readyOn = '2027-03-02'),
    ],
    [
      'a roll past its use-by day',
      'roll-use-by',
      (_plan, problem) => (problem.rolls![0]!.useBy = '2027-02-28'),
    ],
    ['a wrong day of readiness', 'order-ready', (plan) => (plan.orders[0]!.readyOn = '2027-02-28')],
    ['late days not stated', 'late-days', (plan) => (plan.orders[1]!.lateDays = 0)],
    ...(
      [
        'inputM2',
        'orderedM2',
        'overM2',
        'fillerM2',
        'edgeTrimM2',
        'wasteStripM2',
        'leadInM2',
        'defectM2',
        'stubM2',
      ] as const
    ).map((area): Breaks => [`a wrong area, ${area}`, 'yield-area', (plan) => (plan.yield[area] += 0.1)]),
    ['areas that do not add up', 'yield-adds-up', (plan) => (plan.yield.stubM2 += 0.1)],
    ['a wrong area yield', 'area-yield', (plan) => (plan.yield.areaYieldPct += 0.1)],
    ...(['total', 'material', 'setups', 'running', 'late', 'short', 'purchases'] as const).map(
      (part): Breaks => [`a wrong cost, ${part}`, 'cost', (plan) => (plan.cost[part] += 0.01)],
    ),
    ['a shortfall priced at nothing', 'cost', (_plan, problem) => delete problem.costs!.perShortM2],
    ['a wrong number of knife moves', 'knife-moves', (plan) => (plan.runs[1]!.knifeMoves = 4)],
    ['wrong minutes', 'minutes', (plan) => (plan.runs[1]!.minutes += 1)],
    ['a bound above the cost', 'bound', (plan) => (plan.bound.cost = plan.cost.total + 1)],
    ['a wrong gap', 'gap', (plan) => (plan.bound.gapPct = 1)],
    ['a short plan called good', 'status', (plan) => (plan.status = 'good')],
    ['a short plan called best', 'status', (plan) => (plan.status = 'best')],
    ['a plan called proved with a gap', 'stopped', (plan) => (plan.stopped = 'proved')],
    ['an unknown reason to stop', 'stopped', (plan) => (plan.stopped = 'tired' as Plan['stopped'])],
    [
      'a marginal cost of an unknown order',
      'marginal',
      (plan) => plan.marginal.push({ order: 'X', costPerRoll: 1 }),
    ],
  ]);

  test('charges knife moves of the first run when the knives are known to stand elsewhere', () => {
    const [plan, document] = [structuredClone(stockPlan), structuredClone(stockDocument)];
    document.slitters[0]!.knivesAtMm = [25, 525];
    expect(rulesBroken(document, plan)).toEqual(expect.arrayContaining(['cost', 'knife-moves', 'minutes']));
    // One knife, at 1025, moves: 1.5 minutes at 60 an hour.
    plan.runs[0]!.knifeMoves = 1;
    plan.runs[0]!.minutes += 1.5;
    plan.cost.setups += 1.5;
    plan.cost.total += 1.5;
    plan.bound.cost = plan.cost.total - plan.bound.gapPct * 0.01 * plan.cost.total;
    expect(rulesBroken(document, plan)).toEqual([]);
  });
});

describe('a plan round what is locked and excluded', () => {
  const lockedDocument: ProblemDocument = {
    ...stockDocument,
    locks: [lockOf(stockPlan.runs[0]!)],
  };
  catches(lockedDocument, stockPlan, [
    ['a locked run that was changed', 'locked-run', (plan) => (plan.runs[0]!.from[0]!.startM += 1)],
    [
      'a roll that was not to be used',
      'excluded-roll',
      (plan, problem) => {
        problem.locks = [];
        problem.limits = { ...problem.limits, excludeRolls: [plan.runs[1]!.from[0]!.roll] };
      },
    ],
  ]);
});

/** The run as it is given for keeping: without its place in time and what follows from that. */
function lockOf(run: Plan['runs'][number]): NonNullable<ProblemDocument['locks']>[number] {
  const { slitter, product, lengthM, sets, trimLeftMm, trimRightMm, strips, from } = run;
  return { slitter, product, lengthM, sets, trimLeftMm, trimRightMm, strips, from };
}

describe('a plan that buys base film and coats it', () => {
  catches(boughtDocument, boughtPlan, [
    ['film coated twice', 'coated-once', (plan) => plan.coating.push(plan.coating[0]!)],
    ['a coated roll that is no base film', 'coated-roll', (plan) => (plan.coating[0]!.roll = 'X')],
    [
      'a grade that the product does not take',
      'coating-grade',
      (_plan, problem) => {
        problem.grades!.push({ id: 'BF-2' });
        problem.products[0]!.coating!.grades = ['BF-2'];
      },
    ],
    ['a coated length without its loss', 'coating-length', (plan) => (plan.coating[0]!.lengthM = 1000)],
    [
      'film coated for nobody',
      'coating-used',
      (plan) => plan.coating.push({ roll: 'O#2', product: 'CP-1', lengthM: 900 }),
    ],
    ['a coating quicker than its days', 'coating-days', (plan) => (plan.coating[0]!.readyOn = '2027-03-05')],
    [
      'a run before the coating is done',
      'roll-ready',
      (_plan, problem) => (problem.products[0]!.coating!.leadDays = 6),
    ],
    ['film slit without coating', 'roll-product', (plan) => (plan.coating = [])],
    [
      'stock film coated after its use-by day',
      'coating-use-by',
      (plan, problem) => {
        problem.rolls = [
          { id: 'B', kind: 'base', item: 'BF-1', widthMm: 500, lengthM: 1000, useBy: '2027-02-01' },
        ];
        plan.coating[0]!.roll = plan.runs[0]!.from[0]!.roll = 'B';
      },
    ],
    ['an unknown offer', 'known-offer', (plan) => (plan.purchases[0]!.offer = 'X')],
    ['a width off the step', 'offered-width', (plan) => (plan.purchases[0]!.widthMm = 505)],
    ['a width out of range', 'offered-width', (plan) => (plan.purchases[0]!.widthMm = 1100)],
    ['half a roll bought', 'whole-rolls', (plan) => (plan.purchases[0]!.rolls = 1.5)],
    ['a wrong mass', 'purchase-mass', (plan) => (plan.purchases[0]!.kg += 1)],
    ['a wrong purchase cost', 'purchase-cost', (plan) => (plan.purchases[0]!.cost += 1)],
    [
      'less than the minimum order',
      'minimum-order',
      (_plan, problem) => (problem.offers![0]!.minOrderKg = 21),
    ],
    [
      'an order to the supplier in the past',
      'purchase-dates',
      (plan) => (plan.purchases[0]!.orderBy = '2027-02-27'),
    ],
    [
      'film that arrives too early',
      'purchase-dates',
      (plan) => (plan.purchases[0]!.arrivesOn = '2027-03-03'),
    ],
  ]);
});

describe('a plan round bad places', () => {
  catches(flawedDocument, flawedPlan, [
    ['a strip over a bad lane', 'bad-lane', (_plan, problem) => (problem.rolls![0]!.defects![0]!.toMm = 221)],
    [
      'a set over a full-width bad place',
      'full-width-defect',
      (_plan, problem) => (problem.rolls![0]!.defects![1]!.fromM = 99),
    ],
    ['metres passed over that are not counted', 'yield-area', (plan) => (plan.yield.defectM2 = 0)],
  ]);
  test('lets a set run over a full-width bad place where the product takes the splice', () => {
    const [plan, document] = [structuredClone(flawedPlan), structuredClone(flawedDocument)];
    // The second set starts where the first ends; 1 m is cut out of it, so it ends where it did.
    document.rolls![0]!.defects![1] = { fromM: 120, toM: 121 };
    plan.runs[0]!.from = [{ roll: 'F', sets: 2, startM: 0 }];
    expect(rulesBroken(document, plan)).toContain('full-width-defect');
    document.products[0]!.maxSplicesPerRoll = 1;
    expect(rulesBroken(document, plan)).toEqual([]);
  });
});

afterAll(() => {
  const folder = new URL('../../src/planner/checkPlan/', import.meta.url);
  const sources = [
    ...readdirSync(folder).map((name) => new URL(name, folder)),
    new URL('../checkPlan.ts', folder),
  ];
  const calls = sources.map((url) => readFileSync(url, 'utf8')).join('\n');
  const rules = new Set(
    [...calls.matchAll(/fault\(\s*(?:`[^`]*`|[\w.?' ]+|'[^']*'),\s*'([a-z0-9-]+)'/g)].map(
      (match) => match[1]!,
    ),
  );
  expect(rules.size).toBeGreaterThan(40);
  expect(
    [...rules].filter((rule) => !caught.has(rule)),
    'rules without a plan that breaks them',
  ).toEqual([]);
});
