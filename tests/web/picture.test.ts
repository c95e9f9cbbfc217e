// The picture is drawn to scale, nothing in it overlaps that must not, and its words fit where they stand.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawField } from '../../src/web/drawings/picture.ts';
import { drawPattern } from '../../src/web/drawings/picturePattern.ts';
import { fieldsOfPlan, lanesOf, rollNames, tonesOf } from '../../src/web/drawings/picturePlan.ts';
import { type Bed, type Field, type Lane, LEFT, TOP } from '../../src/web/drawings/pictureShapes.ts';
import {
  type Box,
  fitLabel,
  type PlacedText,
  spread,
  textWidth,
} from '../../src/web/drawings/pictureText.ts';
import { fixturePlan, fixtureProblem } from '../support/planFixture.ts';

const EPS = 1e-6;
const inside = (inner: Box, outer: Box) =>
  inner.x >= outer.x - EPS &&
  inner.y >= outer.y - EPS &&
  inner.x + inner.width <= outer.x + outer.width + EPS &&
  inner.y + inner.height <= outer.y + outer.height + EPS;

/** The rectangle that a placed text covers (cap height 0.73, descent 0.2 of the size). */
function covered(text: PlacedText): Box {
  const size = text.look === 'main' ? 12 : 10;
  const long = textWidth(text.text, text.look);
  if (text.turned) return { x: text.x - 0.73 * size, y: text.y - long / 2, width: 0.93 * size, height: long };
  return { x: text.x - long / 2, y: text.y - 0.73 * size, width: long, height: 0.93 * size };
}

function randomField(widths: number[], sets: number[], lengthM: number): Field {
  let at = 8;
  const lanes: Lane[] = [{ fromMm: 0, toMm: 8, use: 'trim' }];
  widths.forEach((width, i) => {
    lanes.push({ fromMm: at, toMm: at + width, use: 'order', order: `SO-${4100 + i}`, tone: i });
    at += width;
  });
  lanes.push({ fromMm: at, toMm: at + 12, use: 'trim' });
  let down = 30;
  const beds = sets.map((count, i): Bed => {
    const bed: Bed = {
      name: `run ${i + 1}`,
      anchor: '',
      fromM: down,
      toM: down + count * lengthM,
      sets: count,
      lengthM,
      lanes,
    };
    down = bed.toM;
    return bed;
  });
  return { id: 'f', title: 'f', widthMm: at + 12, lengthM: down + 100, bad: [], beds, rests: [] };
}
const fields = fc
  .tuple(
    fc.array(fc.integer({ min: 20, max: 300 }), { minLength: 1, maxLength: 30 }),
    fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 14 }),
    fc.constantFrom(300, 450, 1000),
  )
  .map(([widths, sets, lengthM]) => randomField(widths, sets, lengthM));

describe('a roll seen from above', () => {
  it('is drawn to one scale across and one scale along', () => {
    fc.assert(
      fc.property(fields, (field) => {
        const picture = drawField(field);
        const perMm = picture.frame.width / field.widthMm;
        const perM = picture.frame.height / field.lengthM;
        picture.beds.forEach((bed, b) => {
          const given = field.beds[b]!;
          expect(bed.y).toBeCloseTo(TOP + given.fromM * perM, 6);
          expect(bed.height).toBeCloseTo((given.toM - given.fromM) * perM, 6);
          bed.strips.forEach((strip, s) => {
            expect(strip.x).toBeCloseTo(LEFT + given.lanes[s]!.fromMm * perMm, 6);
            expect(strip.width).toBeCloseTo((given.lanes[s]!.toMm - given.lanes[s]!.fromMm) * perMm, 6);
          });
        });
      }),
      { numRuns: 60 },
    );
  });

  it('breaks off a long end that no run takes, says so, and keeps the beds to one scale', () => {
    const field = randomField([110, 110, 83], [8, 4], 300);
    const long = {
      ...field,
      lengthM: 24_000,
      rests: [{ fromM: 3630, toM: 24_000, use: 'stub' as const, words: 'stub' }],
    };
    const picture = drawField(long);
    expect(picture.breakAt).toBeGreaterThan(picture.beds[1]!.y + picture.beds[1]!.height);
    expect(picture.breakAt).toBeLessThan(picture.frame.y + picture.frame.height);
    expect(picture.beds[0]!.height / 8).toBeCloseTo(picture.beds[1]!.height / 4, 6);
    expect(picture.rests[0]!.y + picture.rests[0]!.height).toBeCloseTo(
      picture.frame.y + picture.frame.height,
      6,
    );
    expect(drawField(field).breakAt).toBeUndefined();
  });

  it('lets no strip, bed or caption lie on another, and none outside the roll', () => {
    fc.assert(
      fc.property(fields, (field) => {
        const picture = drawField(field);
        for (const bed of picture.beds) {
          expect(inside(bed, picture.frame)).toBe(true);
          bed.strips.forEach((strip, i) => {
            expect(inside(strip, bed)).toBe(true);
            const next = bed.strips[i + 1];
            if (next) expect(strip.x + strip.width).toBeLessThanOrEqual(next.x + EPS);
          });
        }
        picture.captions.forEach((caption, i) => {
          const next = picture.captions[i + 1];
          if (next) expect(next.y - caption.y).toBeGreaterThanOrEqual(30 - EPS);
          for (const line of caption.lines)
            expect(line.x + textWidth(line.text, line.look)).toBeLessThanOrEqual(picture.width);
          expect(caption.y + 28).toBeLessThanOrEqual(picture.height + 20);
        });
      }),
      { numRuns: 60 },
    );
  });

  it('writes into a strip only what fits into it', () => {
    fc.assert(
      fc.property(fields, (field) => {
        for (const bed of drawField(field).beds)
          for (const strip of bed.strips)
            for (const text of strip.text) expect(inside(covered(text), strip)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it('shows a streak of 2 mm at least 3 px wide, where it lies', () => {
    const field = randomField([500, 500], [10], 300);
    const [bad] = drawField({
      ...field,
      bad: [{ fromM: 0, toM: 600, fromMm: 300, toMm: 302, kind: 'streak' }],
    }).bad;
    expect(bad!.width).toBe(3);
    expect(bad!.x).toBeCloseTo(LEFT + (300 * 640) / field.widthMm, 6);
    expect(bad!.title).toBe('streak, 300 to 302 mm, 0 to 600 m');
  });

  it('tells in words what a bed is, for those who do not see it', () => {
    const [group] = fieldsOfPlan(fixturePlan(), fixtureProblem());
    expect(drawField(group!.field).beds[2]!.title).toBe(
      'run 3: 8 sets of 450 m, from 4,830 m to 8,430 m; 4 x 216 mm for SO-4103, 1 x 83 mm for SO-4101, 1 x 83 mm waste',
    );
  });
});

describe('a label in a strip', () => {
  const box = (width: number, height: number): Box => ({ x: 0, y: 0, width, height });
  it('stands on two lines where there is room, turns in a narrow strip, then gives up the order, then the width', () => {
    expect(fitLabel(box(80, 60), '110', 'SO-4102').map((t) => [t.text, t.turned])).toEqual([
      ['110', false],
      ['SO-4102', false],
    ]);
    expect(fitLabel(box(100, 19), '110', 'SO-4102').map((t) => t.text)).toEqual(['110', 'SO-4102']);
    expect(fitLabel(box(20, 90), '60', 'SO-4102').map((t) => [t.text, t.turned])).toEqual([
      ['60', true],
      ['SO-4102', true],
    ]);
    expect(fitLabel(box(35, 30), '110', 'SO-4102').map((t) => [t.text, t.turned])).toEqual([['110', false]]);
    expect(fitLabel(box(16, 40), '110', 'SO-4102').map((t) => [t.text, t.turned])).toEqual([['110', true]]);
    expect(fitLabel(box(8, 8), '110', 'SO-4102')).toEqual([]);
  });
  it('never reaches over its box, whatever the box', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 1, max: 200 }), (width, height) => {
        for (const text of fitLabel(box(width, height), '1,050.5', 'order 12/b'))
          expect(inside(covered(text), box(width, height))).toBe(true);
      }),
    );
  });
});

describe('the picture of a pattern', () => {
  it('marks every knife once, at its place from the datum edge', () => {
    const plan = fixturePlan();
    const pattern = drawPattern('p', 'p', 1050, lanesOf(plan.runs[2]!, 1050, tonesOf(plan)));
    expect(pattern.knives.map((mark) => mark.text)).toEqual([
      '8',
      '224',
      '440',
      '656',
      '872',
      '955',
      '1,038',
    ]);
    for (const mark of pattern.knives)
      expect(mark.knife.x1).toBeCloseTo(10 + (Number(mark.text.replace(',', '')) * 840) / 1050, 6);
  });
  it('spreads the positions of close knives so that none lies on another', () => {
    const places = spread([10, 11, 12, 100, 838, 839], 12, 10, 850);
    for (let i = 1; i < places.length; i += 1) expect(places[i]! - places[i - 1]!).toBeGreaterThanOrEqual(12);
    expect(Math.max(...places)).toBeLessThanOrEqual(850);
  });
});

describe('the fields of a plan', () => {
  it('draws rolls that are cut alike once and names them all', () => {
    const problem = fixtureProblem();
    problem.rolls[0]!.count = 3;
    const plan = fixturePlan();
    for (const run of plan.runs) run.from = [1, 2, 3].map((k) => ({ ...run.from[0]!, roll: `R7030#${k}` }));
    plan.stubs = [1, 2, 3].map((k) => ({ ...plan.stubs[0]!, roll: `R7030#${k}` }));
    const groups = fieldsOfPlan(plan, problem);
    expect(groups.map((group) => [group.names, group.rolls.length])).toEqual([['R7030#1 to #3', 3]]);
    expect(rollNames(['A', 'B'])).toBe('A and B');
  });
  it('leaves no metre of the roll without a name: beds and rests follow each other from end to end', () => {
    const [group] = fieldsOfPlan(fixturePlan(), fixtureProblem());
    const parts = [...group!.field.beds, ...group!.field.rests].sort((a, b) => a.fromM - b.fromM);
    expect(parts[0]!.fromM).toBe(0);
    expect(parts.at(-1)!.toM).toBe(11400);
    parts.slice(1).forEach((part, i) => {
      expect(part.fromM).toBeCloseTo(parts[i]!.toM, 6);
    });
  });
  it('stops with an error when a plan names a roll that its problem does not have', () => {
    const plan = fixturePlan();
    plan.runs[0]!.from[0]!.roll = 'R9999';
    expect(() => fieldsOfPlan(plan, fixtureProblem())).toThrow('R9999');
  });
});
