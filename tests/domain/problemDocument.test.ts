// The problem document at the edge: the published example is read whole, and every fault is named with its place.
import { describe, expect, test } from 'vitest';
import { parseProblem, printFault } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { shortPricePerM2 } from '../../src/domain/shortPrice.ts';

const smallest = (): ProblemDocument => ({
  format: 'lanewright-problem/1',
  slitters: [{ id: 'S' }],
  products: [{ id: 'P' }],
  orders: [{ id: 'A', product: 'P', widthMm: 20, lengthM: 1, rolls: 48 }],
});

const full = (): ProblemDocument => ({
  ...smallest(),
  planOn: '2027-03-01',
  currency: 'EUR',
  slitters: [
    {
      id: 'S',
      maxWebWidthMm: 1080,
      edgeTrimMinMm: { left: 8, right: 8 },
      edgeTrimMaxMm: { left: 60, right: 60 },
      metresPerMinute: 150,
      maxRollDiameterMm: 120,
      knivesAtMm: [8, 208.5],
    },
  ],
  grades: [{ id: 'G', thicknessUm: 4.5, densityGPerCm3: 1.395 }],
  products: [
    { id: 'P', layerThicknessUm: 8.2, coreOutsideDiameterMm: 32.5, coating: { grades: ['G'], lossM: 120 } },
  ],
  rolls: [
    {
      id: 'R',
      widthMm: 1050,
      lengthM: 11400,
      count: 3,
      readyOn: '2027-03-01',
      useBy: '2028-02-18',
      defects: [{ fromM: 0, toM: 2600, fromMm: 300, toMm: 306, kind: 'streak' }],
    },
    { id: 'B', kind: 'base', item: 'G', widthMm: 660, lengthM: 20000 },
  ],
  offers: [
    { id: 'O', grade: 'G', widthMm: 1050, rollLengthM: 24000, pricePerKg: 9.8 },
    {
      id: 'O2',
      grade: 'G',
      widthRangeMm: { min: 500, max: 1050, step: 10 },
      rollLengthM: 24000,
      pricePerKg: 9.6,
    },
  ],
  fillers: [{ product: 'P', widthMm: 60, lengthM: 300 }],
});

function read(document: unknown) {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(parsed.faults.map(printFault).join('\n'));
  return parsed.problem;
}

function faultsOf(input: unknown): string[] {
  const parsed = parseProblem(input);
  return parsed.ok ? [] : parsed.faults.map(printFault);
}

describe('a faultless document', () => {
  test('needs only a format, a slitter, a product and an order: no limit binds and nothing costs', () => {
    const { slitters, products, orders, maxPatterns } = read(JSON.stringify(smallest()));
    expect(slitters[0]).toMatchObject({
      maxStrips: Infinity,
      maxWasteStrips: Infinity,
      minStripWidthUm: 0,
      metresPerMinute: Infinity,
      costPerHour: 0,
      edgeTrimMaxUm: { left: Infinity, right: Infinity },
    });
    expect(products[0]?.slitters).toEqual(['S']);
    expect(orders[0]).toMatchObject({ minRolls: 48, maxRolls: 48, priority: 'normal' });
    expect(maxPatterns).toBe(Infinity);
  });
  test('is turned into whole um and mm', () => {
    const { rolls, slitters, offers } = read(full());
    expect(slitters[0]?.knivesAtUm).toEqual([8000, 208500]);
    expect(rolls[0]).toMatchObject({
      kind: 'coated',
      item: 'P',
      widthUm: 1050000,
      lengthMm: 11400000,
      count: 3,
      defects: [{ fromMm: 0, toMm: 2600000, fromUm: 300000, toUm: 306000 }],
    });
    expect(offers[1]).toMatchObject({ widthMinUm: 500000, widthMaxUm: 1050000, widthStepUm: 10000 });
    expect(read(JSON.parse(JSON.stringify(full())))).toEqual(read(JSON.stringify(full())));
  });
  test('prices a roll at its area, and base film that is on offer at the cheapest price of its mass', () => {
    const { rolls } = read(full());
    expect(rolls[0]?.costPerRoll).toBeCloseTo(1.05 * 11400, 9);
    // 82.863 kg of 4.5 um PET at 9.6
    expect(rolls[1]?.costPerRoll).toBeCloseTo(82.863 * 9.6, 6);
  });
  test('rounds the quantity tolerance inward', () => {
    const document = smallest();
    document.orders[0] = { ...document.orders[0]!, rolls: 5, overPct: 10, underPct: 10 };
    expect(read(document).orders[0]).toMatchObject({ minRolls: 5, maxRolls: 5 });
  });
  test('may come as UTF-8 bytes with a byte order mark', () => {
    expect(faultsOf(new TextEncoder().encode(`\ufeff${JSON.stringify(smallest())}`))).toEqual([]);
  });
});

describe('a text that is no JSON', () => {
  test.each([
    ['an empty file', '', '$: the file is empty'],
    ['blanks only', ' \n ', '$: the file is empty'],
    ['a wrong token', '{\n "format": x}', 'unexpected "x" at line 2, column 12'],
    ['a comma too many', '{"a": 1,}', 'unexpected "}" at line 1, column 9'],
    ['a missing comma', '{"a": 1 "b": 2}', 'unexpected "\\"" at line 1, column 9'],
    ['a cut-off file', '{"a": [1, 2', 'it ends too early, at line 1, column 12'],
    ['a file in another encoding', new Uint8Array([0x7b, 0x22, 0xe9, 0x22, 0x7d]), 'not UTF-8 text'],
    ['a UTF-16 file', new Uint8Array([0x7b, 0, 0x7d, 0]), 'not UTF-8 text'],
    [
      'a file above 20 MB',
      new Uint8Array(20 * 1024 * 1024 + 1),
      'the file has 20.0 MB; expected at most 20 MB',
    ],
    ['a list', '[]', '$: is an empty list; expected an object'],
    ['null', 'null', '$: is null; expected an object'],
  ])('%s is refused with its place', (_title, input, message) => {
    expect(faultsOf(input)).toHaveLength(1);
    expect(faultsOf(input)[0]).toContain(message);
  });
});

type Change = (document: ReturnType<typeof full>) => unknown;
describe('a faulty document', () => {
  test.each<[string, Change, string]>([
    [
      'another format',
      (d) => (d.format = 'lanewright-problem/2' as never),
      'format: is "lanewright-problem/2"; expected "lanewright-problem/1"',
    ],
    ['no orders', (d) => (d.orders = []), 'orders: is an empty list; expected a list of at least one order'],
    ['no slitters', (d) => delete (d as Partial<ProblemDocument>).slitters, 'slitters: is missing'],
    [
      'an unknown field',
      (d) => ((d.orders[0] as Record<string, unknown>).colour = 'red'),
      'orders[0].colour: is an unknown field; expected only these fields: id, product, widthMm',
    ],
    [
      'an unknown field at the top',
      (d) => ((d as Record<string, unknown>)['my field'] = 1),
      '["my field"]: is an unknown field',
    ],
    [
      'a text for a number',
      (d) => (d.orders[0]!.widthMm = '83' as never),
      'orders[0].widthMm: is "83"; expected a number of mm',
    ],
    ['a negative width', (d) => (d.orders[0]!.widthMm = -83), 'orders[0].widthMm: is -83'],
    ['a width below a micrometre', (d) => (d.orders[0]!.widthMm = 83.0001), 'orders[0].widthMm: is 83.0001'],
    ['a width that is no number', (d) => (d.orders[0]!.widthMm = Number.NaN), 'orders[0].widthMm: is NaN'],
    [
      'an endless length',
      (d) => (d.orders[0]!.lengthM = Number.POSITIVE_INFINITY),
      'orders[0].lengthM: is Infinity',
    ],
    [
      'no rolls ordered',
      (d) => (d.orders[0]!.rolls = 0),
      'orders[0].rolls: is 0; expected a whole number from 1',
    ],
    ['half a roll ordered', (d) => (d.orders[0]!.rolls = 4.5), 'orders[0].rolls: is 4.5'],
    [
      'a day that is none',
      (d) => (d.orders[0]!.dueOn = '2027-02-30'),
      'orders[0].dueOn: is "2027-02-30"; expected an existing day, written yyyy-mm-dd',
    ],
    ['a day with a time', (d) => (d.planOn = '2027-03-01T10:00'), 'planOn: is "2027-03-01T10:00"'],
    [
      'an unknown priority',
      (d) => (d.orders[0]!.priority = 'high' as never),
      'orders[0].priority: is "high"; expected one of "low", "normal", "rush"',
    ],
    ['more than everything under', (d) => (d.orders[0]!.underPct = 101), 'orders[0].underPct: is 101'],
    ['a blank id', (d) => (d.orders[0]!.id = ' '), 'orders[0].id: is " "'],
    [
      'an unknown product',
      (d) => (d.orders[0]!.product = 'X'),
      'orders[0].product: there is no product "X"; expected the id of a product in this file: "P"',
    ],
    [
      'a filler of an unknown product',
      (d) => (d.fillers![0]!.product = 'X'),
      'fillers[0].product: there is no product "X"',
    ],
    [
      'an unknown slitter',
      (d) => (d.products[0]!.slitters = ['X']),
      'products[0].slitters[0]: there is no slitter "X"',
    ],
    [
      'an unknown grade',
      (d) => (d.products[0]!.coating!.grades = ['X']),
      'products[0].coating.grades[0]: there is no grade "X"',
    ],
    [
      'an offer of an unknown grade',
      (d) => (d.offers![0]!.grade = 'X'),
      'offers[0].grade: there is no grade "X"',
    ],
    ['a coated roll of a grade', (d) => (d.rolls![0]!.item = 'G'), 'rolls[0].item: there is no product "G"'],
    ['a base roll of a product', (d) => (d.rolls![1]!.item = 'P'), 'rolls[1].item: there is no grade "P"'],
    [
      'an unknown kind',
      (d) => (d.rolls![0]!.kind = 'jumbo' as never),
      'rolls[0].kind: is "jumbo"; expected one of "coated", "base", "stub"',
    ],
    [
      'an item that could be two',
      (d) => d.products.push({ id: 'P2' }),
      'rolls[0].item: is missing, and there is more than one product',
    ],
    [
      'two orders of one id',
      (d) => d.orders.push(d.orders[0]!),
      'orders[1].id: "A" is already the id of orders[0]',
    ],
    [
      'two rolls of one id',
      (d) => d.rolls!.push(d.rolls![0]!),
      'rolls[2].id: "R" is already the id of rolls[0]',
    ],
    [
      'a roll named like a single roll of another',
      (d) => (d.rolls![1]!.id = 'R#3'),
      'rolls[1].id: "R#3" is also the name of a single roll of rolls[0]',
    ],
    [
      'a roll named like a purchased one',
      (d) => (d.rolls![1]!.id = 'O#7'),
      'rolls[1].id: "O#7" is also the name of a single roll of offers[0]',
    ],
    [
      'a roll named like an offer',
      (d) => (d.rolls![1]!.id = 'O'),
      'rolls[1].id: "O" is also the id of an offer',
    ],
    [
      'a trim maximum below the minimum',
      (d) => (d.slitters[0]!.edgeTrimMaxMm = { left: 7 }),
      'slitters[0].edgeTrimMaxMm.left: is 7, below the minimum; expected at least edgeTrimMinMm.left, 8 mm',
    ],
    [
      'a bad place beyond the roll end',
      (d) => (d.rolls![0]!.defects![0]!.toM = 12000),
      'rolls[0].defects[0].toM: is 12000, beyond the roll; expected at most its lengthM, 11400',
    ],
    [
      'a bad place beyond the roll edge',
      (d) => (d.rolls![0]!.defects![0]!.toMm = 1051),
      'rolls[0].defects[0].toMm: is 1051, beyond the roll',
    ],
    [
      'a bad place that ends before it starts',
      (d) => (d.rolls![0]!.defects![0]!.fromMm = 306),
      'rolls[0].defects[0].fromMm: is 306, not before toMm',
    ],
    [
      'a roll gone off before it is ready',
      (d) => (d.rolls![0]!.useBy = '2027-02-01'),
      'rolls[0].useBy: 2027-02-01 is before the roll is ready',
    ],
    [
      'an offer without a width',
      (d) => delete d.offers![0]!.widthMm,
      'offers[0].widthMm: no width is given; expected either widthMm or widthRangeMm',
    ],
    [
      'an offer with width and range',
      (d) => (d.offers![1]!.widthMm = 600),
      'offers[1].widthMm: a width and a width range are given',
    ],
    [
      'a width range upside down',
      (d) => (d.offers![1]!.widthRangeMm = { min: 600, max: 500 }),
      'offers[1].widthRangeMm.max: is 500, below min; expected at least 600',
    ],
    ['a width step of 0', (d) => (d.offers![1]!.widthRangeMm!.step = 0), 'offers[1].widthRangeMm.step: is 0'],
    [
      'film sold by mass without a thickness',
      (d) => delete d.grades![0]!.thicknessUm,
      'grades[0].thicknessUm: is missing',
    ],
    [
      'an order wider than any web',
      (d) => (d.orders[0]!.widthMm = 1065),
      'orders[0].widthMm: is 1065, wider than any web of its slitters between the edge trims; expected at most 1064 mm',
    ],
    [
      'a diameter limit without a core',
      (d) => delete d.products[0]!.coreOutsideDiameterMm,
      'products[0].coreOutsideDiameterMm: is missing',
    ],
    [
      'no speed',
      (d) => (d.slitters[0]!.metresPerMinute = 0),
      'slitters[0].metresPerMinute: is 0; expected a speed in m/min, above 0',
    ],
    ['a pattern limit of 0', (d) => (d.limits = { maxPatterns: 0 }), 'limits.maxPatterns: is 0'],
  ])('%s is named with its path', (_title, change, message) => {
    const document = full();
    change(document);
    expect(faultsOf(document).join('\n')).toContain(message);
  });
  test('has all its faults listed, not only the first', () => {
    const document = full();
    document.orders[0]!.rolls = 0;
    document.orders[0]!.widthMm = -1;
    document.slitters[0]!.maxStrips = 1.5;
    expect(faultsOf(document)).toHaveLength(3);
  });
});

describe('the default price of falling short', () => {
  const rolls = [{ id: 'R', widthMm: 100, lengthM: 100, count: 5 }];
  test('is dearer than a roll made alone on a fresh roll with its own set-up', () => {
    const document = { ...smallest(), rolls, slitters: [{ id: 'S', minutesPerSetup: 30, costPerHour: 60 }] };
    // Alone: the whole roll, 10, and the set-up, 30; the order's roll has 0.02 m2.
    expect(shortPricePerM2(read(document)) * 0.02).toBeGreaterThan(10 + 30);
  });
  test('is above nothing where nothing costs', () => {
    const free = { ...smallest(), rolls: [{ ...rolls[0]!, costPerRoll: 0 }] };
    expect(shortPricePerM2(read(free))).toBeGreaterThan(0);
  });
  test('is the price of the problem where it has one', () => {
    expect(shortPricePerM2(read({ ...smallest(), costs: { perShortM2: 5 } }))).toBe(5);
  });
});
