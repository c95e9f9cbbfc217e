// What a plan says of base film: by hand, with trims, lead-in, tails, coater's loss and strips for the shelf in it.
import { describe, expect, it } from 'vitest';
import {
  coatedTaken,
  coveringPlans,
  forecastEvents,
  orderNeeds,
  type Products,
  USUAL_YIELD,
} from '../../src/domain/filmDemand.ts';
import { filmOfOrders, type PlanParts, yieldsOf } from '../../src/domain/filmOfPlan.ts';
import type { Row } from '../../src/domain/resource.ts';
import type { IsoDate } from '../../src/domain/units.ts';

const TODAY = '2027-03-01' as IsoDate;
type Strip = PlanParts['runs'][number]['strips'][number];
/** Strips side by side from 10 mm on. */
const strips = (...given: [mm: number, what: Pick<Strip, 'order' | 'filler' | 'waste'>][]): Strip[] => {
  let at = 10;
  return given.map(([mm, what]) => {
    at += mm;
    return { fromMm: at - mm, toMm: at, ...what };
  });
};
const run = (more: Partial<PlanParts['runs'][number]>): PlanParts['runs'][number] => ({
  ...{ sequence: 1, slitter: 'S', product: 'P', lengthM: 100, sets: 9, trimLeftMm: 10, trimRightMm: 10 },
  ...{ strips: [], from: [], minutes: 0, knifeMoves: 0 },
  ...more,
});
const outcome = (id: string, planned: number): PlanParts['outcomes'][number] => ({
  ...{ id, ordered: planned, planned, over: 0, short: 0, lateDays: 0, reasons: [] },
});

/** A base roll of 1,000 mm, 960 m of it coated after 40 m of loss; 9 sets of 100 m; 300 + 300 + 200 mm sold, 180 mm waste. */
const plan = (more: Partial<PlanParts> = {}): PlanParts => ({
  id: 7,
  runs: [
    run({
      strips: strips(
        [300, { order: 'A' }],
        [300, { order: 'B' }],
        [200, { filler: 0 }],
        [180, { waste: true }],
      ),
      from: [{ roll: 'B1', sets: 9, startM: 0 }],
    }),
  ],
  coating: [{ roll: 'B1', product: 'P', lengthM: 960 }],
  outcomes: [outcome('A', 9), outcome('B', 9)],
  orders: [
    { id: 'A', product: 'P', widthMm: 300, lengthM: 100, rolls: 9, dueOn: '2027-03-20' },
    { id: 'B', product: 'P', widthMm: 300, lengthM: 100, rolls: 9 },
  ],
  products: [{ id: 'P', coating: { grades: ['G'], lossM: 40 } }],
  offers: [],
  rolls: [{ id: 'B1', kind: 'base', item: 'G', widthMm: 1000 }],
  ...more,
});

describe('the film of each order in a plan', () => {
  it('is its share, by strips that are no waste, of all film that was taken, losses and trims in it', () => {
    // 1 m x (960 + 40) m; 3 of 8 parts of what is not waste
    const found = filmOfOrders(plan());
    expect(found.map(({ order, planned, stockRolls }) => [order, planned, stockRolls])).toEqual([
      ['A', 9, ['B1']],
      ['B', 9, ['B1']],
    ]);
    for (const { film } of found) {
      expect(film.map(({ grade }) => grade)).toEqual(['G']);
      expect(film[0]?.areaM2).toBeCloseTo((1000 * 3) / 8, 9);
    }
  });
  it('is none where the strips come from coated rolls in stock, which are named', () => {
    const rolls = [{ id: 'C1', kind: 'coated', item: 'P', widthMm: 1000 }];
    const [a] = filmOfOrders(
      plan({
        rolls,
        coating: [],
        runs: [run({ strips: strips([300, { order: 'A' }]), from: [{ roll: 'C1', sets: 9, startM: 0 }] })],
      }),
    );
    expect(a).toMatchObject({ film: [], stockRolls: ['C1'] });
  });
  it('knows rolls that are bought, of one width or of a range, and one of several alike', () => {
    const bought = (offer: Partial<PlanParts['offers'][number]>) =>
      plan({
        rolls: [],
        offers: [{ id: 'O', grade: 'H', rollLengthM: 1000, pricePerKg: 1, ...offer }],
        coating: [{ roll: 'O#2', product: 'P', lengthM: 960 }],
        runs: [
          run({
            strips: strips([300, { order: 'A' }], [480, { waste: true }]),
            from: [{ roll: 'O#2', sets: 9, startM: 0 }],
          }),
        ],
      });
    // the range is 800 mm here: 10 + 300 + 480 + 10
    const ranged = filmOfOrders(bought({ widthRangeMm: { min: 500, max: 900, step: 10 } }))[0];
    // nine sets of 300 mm x 100 m
    expect(ranged?.film).toEqual([{ grade: 'H', areaM2: 0.8 * 1000, stripM2: expect.closeTo(270, 9) }]);
    expect(ranged?.stockRolls).toEqual([]);
    expect(filmOfOrders(bought({ widthMm: 820 }))[0]?.film).toMatchObject([
      { grade: 'H', areaM2: 0.82 * 1000 },
    ]);
  });
  it('adds up over rolls', () => {
    const whole = plan({
      rolls: [
        { id: 'B1', kind: 'base', item: 'G', widthMm: 1000 },
        { id: 'B2', kind: 'base', item: 'H', widthMm: 500 },
      ],
      coating: [
        { roll: 'B1', product: 'P', lengthM: 960 },
        { roll: 'B2', product: 'P', lengthM: 360 },
      ],
      runs: [
        run({ strips: strips([300, { order: 'A' }]), from: [{ roll: 'B1', sets: 9, startM: 0 }] }),
        run({ strips: strips([300, { order: 'A' }]), from: [{ roll: 'B2', sets: 3, startM: 0 }] }),
      ],
    });
    expect(filmOfOrders(whole)[0]?.film).toEqual([
      { grade: 'G', areaM2: 1000, stripM2: expect.closeTo(270, 9) },
      { grade: 'H', areaM2: 200, stripM2: expect.closeTo(90, 9) },
    ]);
  });
});

describe('the yield seen in a plan', () => {
  it('is what was sold or laid on the shelf of all film that was coated', () => {
    const [seen] = yieldsOf(plan());
    expect(seen?.product).toBe('P');
    expect(seen?.filmM2).toBeCloseTo(1000, 9);
    expect(seen?.goodM2).toBeCloseTo(0.8 * 100 * 9, 9);
  });
});

const order = (code: string, more: Row = {}): Row => ({
  ...{ code, customer: 'C', product: 'P', widthUm: 300_000, lengthMm: 100_000, rolls: 9, dueOn: null },
  ...more,
});
const OPEN = [order('A', { dueOn: '2027-03-20' }), order('B')];
const products: Products = {
  grades: new Map([['P', ['G', 'H']]]),
  leadDays: new Map([['P', 5]]),
  yields: new Map([['P', { product: 'P', share: 0.8, fromPlans: true }]]),
};

describe('which plan speaks for an order', () => {
  const usable = new Set(['B1']);
  it('is the newest that was made for it as it stands, from rolls that are still there', () => {
    const newer = plan({ id: 9, orders: plan().orders.slice(1) });
    expect(
      [...coveringPlans([newer, plan()], OPEN, usable)].map(([code, film]) => [code, film.plan]),
    ).toEqual([
      ['B', 9],
      ['A', 7],
    ]);
  });
  it('is none for an order that was changed, and none whose rolls are gone', () => {
    const changed = [order('A', { dueOn: '2027-03-20', rolls: 10 }), order('B')];
    expect([...coveringPlans([plan()], changed, usable).keys()]).toEqual(['B']);
    expect(coveringPlans([plan()], OPEN, new Set()).size).toBe(0);
  });
});

describe('what orders need of film', () => {
  const covered = coveringPlans([plan()], OPEN, new Set(['B1']));
  it('is what their plan takes, on the day on which coating has to begin; what has no day or is late, today', () => {
    const needs = orderNeeds(OPEN, covered, products, [], new Map(), TODAY);
    expect(
      needs.map(({ order, grade, needOn, areaM2, plan: by }) => [order, grade, needOn, areaM2, by]),
    ).toEqual([
      ['A', 'G', '2027-03-15', 375, 7],
      ['B', 'G', TODAY, 375, 7],
    ]);
  });
  it('is their area by the yield where no plan speaks, less coated stock that is released, for the first due first', () => {
    const stock = [
      { kind: 'coated', item: 'P', status: 'released', areaM2: 400 },
      { kind: 'coated', item: 'P', status: 'on hold', areaM2: 9999 },
    ];
    // 270 m2 each; 400 m2 of coated stock gives 320 m2 of strips: all of A and 50 of B
    const needs = orderNeeds(OPEN, new Map(), products, stock, new Map(), TODAY);
    expect(needs.map(({ order, areaM2 }) => [order, Number(areaM2.toFixed(6))])).toEqual([['B', 220 / 0.8]]);
    expect(needs[0]?.stripM2).toBeCloseTo(220, 9);
    // what plans of others take is not there
    const taken = orderNeeds(OPEN, new Map(), products, stock, new Map([['P', 400]]), TODAY);
    expect(taken.map(({ areaM2 }) => Number(areaM2.toFixed(6)))).toEqual([337.5, 337.5]);
  });
  it('counts coated rolls that plans take', () => {
    const film = new Map([['A', { order: 'A', plan: 1, planned: 9, film: [], stockRolls: ['C1', 'B1'] }]]);
    const roll = { kind: 'coated', item: 'P', widthUm: 1_000_000, lengthMm: 500_000 };
    expect(
      coatedTaken(film, [
        { ...roll, code: 'C1' },
        { ...roll, code: 'C2' },
        { ...roll, code: 'B1', kind: 'base' },
      ]),
    ).toEqual(new Map([['P', 500]]));
  });
});

describe('what a forecast adds', () => {
  it('is what goes beyond the orders that are due in its week, by the yield, on the day coating has to begin', () => {
    const forecasts = [
      { code: 'F1', product: 'P', weekOn: '2027-03-15' as IsoDate, areaM2: 300 },
      { code: 'F2', product: 'P', weekOn: '2027-03-15' as IsoDate, areaM2: 50 },
      { code: 'F3', product: 'P', weekOn: '2027-03-22' as IsoDate, areaM2: 80 },
    ];
    // A, 270 m2, is due on Saturday of the first week
    const events = forecastEvents(forecasts, OPEN, products).get('G');
    expect(events).toEqual([
      { day: '2027-03-10', areaM2: 80 / 0.8, what: 'forecast', code: 'F1, F2' },
      { day: '2027-03-17', areaM2: 80 / 0.8, what: 'forecast', code: 'F3' },
    ]);
    const unknown = { ...products, yields: new Map() };
    expect(forecastEvents(forecasts, [], unknown).get('G')?.[1]?.areaM2).toBeCloseTo(80 / USUAL_YIELD, 9);
  });
  it('is nothing where orders ask for as much', () => {
    const forecasts = [{ code: 'F1', product: 'P', weekOn: '2027-03-15' as IsoDate, areaM2: 270 }];
    expect(forecastEvents(forecasts, OPEN, products).size).toBe(0);
  });
});
