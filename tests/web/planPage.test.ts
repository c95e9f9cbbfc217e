// What a plan page says of purchases, coating, machine time, shortage, fillers and bad places; and how plans stand in
// the lists. Purchases are planned by the planner from a small invented problem; the rest changes the hand-written plan.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemDocument.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { loadByDay } from '../../src/web/plans/planMachine.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant({ empty: true });
  visitor = new Visitor(plant.app);
});
afterAll(() => plant.db.destroy());

const words = (html: string) =>
  html
    .replace(/<svg[\s\S]*?<\/svg>|<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ')
    .replace(/ ([,.;])/g, '$1');

/** The words of the page of this plan. */
async function pageOf(problem: ProblemDocument, plan: Plan): Promise<string> {
  const row = { title: 'A plan', products: ['CP-10'], status: 'done', seconds_limit: 20 };
  const [{ id }] = await plant
    .db('plans')
    .insert({ ...row, problem: JSON.stringify(problem), plan: JSON.stringify(plan) })
    .returning('id');
  const page = await visitor.open(`/plans/${id}`);
  expect(page.status).toBe(200);
  return words(page.text);
}
const fixturePage = (change: (plan: Plan, problem: ProblemDocument) => void) => {
  const [plan, problem] = [fixturePlan(), fixtureDocument()];
  change(plan, problem);
  return pageOf(problem, plan);
};

/** Nothing is coated: film must be bought, in rolls of 5,000 m, and coated. */
const buying: ProblemDocument = {
  format: 'lanewright-problem/1',
  planOn: '2027-03-01',
  currency: 'EUR',
  slitters: [{ id: 'SL-1', edgeTrimMinMm: { left: 10, right: 10 }, leadInM: 20, metresPerMinute: 200 }],
  products: [{ id: 'CP-1', coating: { grades: ['BF-1'], lossM: 100, costPerM2: 0.1, leadDays: 5 } }],
  grades: [{ id: 'BF-1', thicknessUm: 10, densityGPerCm3: 1.4 }],
  offers: [
    {
      ...{ id: 'S1-BF-1', supplier: 'S1', grade: 'BF-1', widthMm: 1000, rollLengthM: 5000 },
      ...{ pricePerKg: 10, minOrderKg: 200, leadTimeDays: 30 },
    },
  ],
  orders: [{ id: 'SO-1', product: 'CP-1', widthMm: 490, lengthM: 1000, rolls: 4, dueOn: '2027-03-10' }],
};

describe('film that a plan buys and coats', () => {
  it('stands with supplier, dates, price, what waits for it and what stays whole', async () => {
    const made = makePlan(buying);
    if (!made.ok) throw new Error(JSON.stringify(made.faults));
    const text = await pageOf(buying, made.plan);
    // one roll: 1 m x 5000 m x 10 um x 1.4 g/cm3 = 70 kg; 200 kg at least are 3 rolls, 210 kg, at 10 a kg
    expect(text).toContain('S1-BF-1 S1 BF-1 1,000 3 210 2,100 2027-03-01 2027-03-31');
    expect(text).toMatch(
      /Waits for it: run 1, for SO-1\. [12] of them stays? whole, bought to reach the least order of 200 kg\./,
    );
    expect(text).toMatch(/S1-BF-1#1[^.]* CP-1 [12],0[\d.]+ 2,0[\d.]+ 2027-04-05 run 1, for SO-1/);
    expect(text).toContain('to pay for film bought, whole rolls 2,100');
  });
  it('makes late orders the first thing to look at, with what they wait for', async () => {
    const made = makePlan(buying);
    if (!made.ok) throw new Error(JSON.stringify(made.faults));
    const text = await pageOf(buying, made.plan);
    expect(text).toMatch(
      /To look at SO-1 is late: its last run ends on 2027-04-05, 26 days after it is due[^.]*it waits for film BF-1 from S1/,
    );
  });
  it('draws a bought roll as wide as its own purchase when an offer is bought in two widths', async () => {
    const text = await fixturePage((plan, problem) => {
      problem.grades = [{ id: 'BF-1', thicknessUm: 10, densityGPerCm3: 1.4 }];
      const range = { min: 1050, max: 1070, step: 10 };
      const offer = { id: 'S2', grade: 'BF-1', widthRangeMm: range, rollLengthM: 9000, pricePerKg: 1 };
      problem.offers = [offer];
      const purchase = { offer: 'S2', rolls: 1, kg: 1, cost: 1 };
      plan.purchases = [
        { ...purchase, widthMm: 1070 },
        { ...purchase, widthMm: 1050 },
      ];
      plan.runs[0]!.from = [{ roll: 'S2#1', sets: 8, startM: 30 }];
      plan.runs[1]!.from = [{ roll: 'S2#2', sets: 8, startM: 30 }];
    });
    expect(text).toMatch(/S2#1 1 BF-1 1,070 9,000/);
    expect(text).toMatch(/S2#2 1 BF-1 1,050 9,000/);
  });
});

describe('a plan that falls short', () => {
  it('tells what is paid apart from what is missing, and never adds the two', async () => {
    const text = await fixturePage((plan) => {
      plan.cost.short = 20000;
      plan.cost.total += 20000;
      plan.bound = { cost: plan.cost.total - 10, gapPct: 0.05 };
    });
    expect(text).toContain(
      'What is made costs 912.40 EUR; at most 10.00 EUR of that could be saved (proved).',
    );
    expect(text).toContain('cost of what is made 912.40 100.0');
    // 2 rolls of 216 mm x 450 m
    expect(text).toContain('What is short order rolls m² SO-4103 2 194.4 in all 2 194.4');
    expect(text).not.toMatch(/20,912|20,902/);
  });
  it('gives no figure for what is left to gain when that is a matter of what is missing', async () => {
    const text = await fixturePage((plan) => {
      plan.cost.short = 20000;
      plan.cost.total += 20000;
      plan.bound = { cost: 9000, gapPct: 57 };
    });
    expect(text).toContain('It is not proved that no plan could make more of what is missing.');
    expect(text).not.toMatch(/57|left to gain/);
  });
});

describe('fillers', () => {
  it('are counted, valued and taken off the cost', async () => {
    const text = await fixturePage((plan, problem) => {
      problem.fillers = [{ product: 'CP-10', widthMm: 83, lengthM: 450, valuePerRoll: 4.1, maxRolls: 40 }];
      const strips = plan.runs[2]!.strips;
      const { fromMm, toMm } = strips.pop()!;
      strips.push({ fromMm, toMm, filler: 0 });
    });
    expect(text).toContain('CP-10 83 mm x 450 m 8 of 40 32.80');
    expect(text).toContain('less the value of fillers -32.80');
    expect(text).toContain('filler 83');
  });
});

describe('bad places', () => {
  it('over the full width are told as cut out and spliced, and later sets lie further on', async () => {
    const text = await fixturePage((_, problem) => {
      problem.products = problem.products.map((product) => ({ ...product, maxSplicesPerRoll: 1 }));
      problem.rolls![0]!.defects = [{ fromM: 3000, toM: 3040, fromMm: 0, toMm: 1050, kind: 'wrinkle' }];
    });
    expect(text).toContain(
      'The wrinkle over the full width of R7030 (3,000 to 3,040 m) is cut out in run 2: 40 m, and the ends are spliced.',
    );
  });
  it('that no set touches are told as passed over', async () => {
    const text = await fixturePage((_, problem) => {
      problem.rolls![0]!.defects = [{ fromM: 10000, toM: 10040, fromMm: 0, toMm: 1050, kind: 'wrinkle' }];
    });
    expect(text).toContain('is passed over: no set takes these metres.');
  });
});

describe('machine time', () => {
  const slitterWith = (calendar: object) => {
    const document = fixtureDocument();
    document.slitters[0] = { ...document.slitters[0]!, calendar };
    const read = parseProblem(document);
    if (!read.ok) throw new Error(JSON.stringify(read.faults));
    return read.problem;
  };
  it('is shown for each slitter with its set-ups, knife moves and days', async () => {
    const text = await fixturePage(() => {});
    expect(text).toContain('SL-1 3 3 27 253 4.2 2027-03-01 2027-03-01');
    expect(text).toContain('a working day of 24 hours');
  });
  it('goes on after closed days, and each day holds no more than its hours', () => {
    const problem = slitterWith({ minutesPerDay: 100, closedOn: ['2027-03-02'] });
    const load = loadByDay(fixturePlan().runs, problem.slitters[0], problem.planOn);
    expect(load.map(({ day }) => day)).toEqual(['2027-03-01', '2027-03-03', '2027-03-04']);
    expect(load.map(({ minutes }) => Number(minutes.toFixed(3)))).toEqual([100, 100, 53.2]);
  });
  it('of a run that waits for its roll begins on the day of the run', () => {
    const problem = slitterWith({ minutesPerDay: 480 });
    const runs = fixturePlan().runs.map((run, i) => (i === 2 ? { ...run, startsOn: '2027-03-09' } : run));
    const load = loadByDay(runs, problem.slitters[0], problem.planOn);
    expect(load.map(({ day, minutes }) => [day, minutes])).toEqual([
      ['2027-03-01', 163],
      ['2027-03-09', expect.closeTo(90.2, 6)],
    ]);
  });
});

describe('the lists of plans', () => {
  it('say how each came out, its set-ups and the cost of what is made, on the first page too', async () => {
    await fixturePage((plan) => {
      plan.cost.short = 20000;
      plan.cost.total += 20000;
      plan.orders[0]!.lateDays = 3;
    });
    const list = words((await visitor.open('/plans/all')).text);
    expect(list).toMatch(/1 order falls short, 1 order is late 912\.40 3\b/);
    const home = words((await visitor.open('/')).text);
    expect(home).toContain('A plan: 1 order falls short, 1 order is late; costs 912.40 with 3 set-ups');
  });
});
