// Winding a roll over and turning it over: where its bad places lie afterwards.
import { describe, expect, test } from 'vitest';
import { type BadPlace, placesOnRoll, rewound, turnedOver } from '../../src/domain/rollMap.ts';
import { seeded } from '../planner/reference/randomProblem.ts';

const LENGTH = 11_400_000;
const WIDTH = 1_050_000;
const streak: BadPlace = { fromMm: 0, toMm: 2_600_000, fromUm: 300_000, toUm: 306_000, kind: 'streak' };

function randomMap(seed: number): BadPlace[] {
  const random = seeded(seed);
  const span = (whole: number): [number, number | null] => {
    const from = random() < 0.3 ? 0 : Math.floor(random() * (whole - 1));
    return [from, random() < 0.3 ? null : from + 1 + Math.floor(random() * (whole - from - 1))];
  };
  return Array.from({ length: 1 + Math.floor(random() * 5) }, (_, k) => {
    const [fromMm, toMm] = span(LENGTH);
    const [fromUm, toUm] = span(WIDTH);
    return { fromMm, toMm, fromUm, toUm, kind: `place ${k}` };
  });
}
const onRoll = (map: BadPlace[]) => placesOnRoll(map, { widthUm: WIDTH, lengthMm: LENGTH });

describe('a roll map', () => {
  test('counts its metres from the other end once the roll is wound over', () => {
    expect(rewound([streak], LENGTH)).toEqual([{ ...streak, fromMm: 8_800_000, toMm: null }]);
  });

  test('counts its millimetres from the other edge once the roll is turned over', () => {
    expect(turnedOver([streak], WIDTH)).toEqual([{ ...streak, fromUm: 744_000, toUm: 750_000 }]);
  });

  test('of a lane through the whole roll stays one that follows the length', () => {
    const band: BadPlace = { fromMm: 0, toMm: null, fromUm: 182_000, toUm: 196_000, kind: 'gauge band' };
    expect(rewound([band], LENGTH)).toEqual([band]);
  });
});

describe('two hundred random maps', () => {
  const maps = Array.from({ length: 200 }, (_, seed) => randomMap(seed));
  const ways = [
    { turn: (map: BadPlace[]) => rewound(map, LENGTH), along: true, across: false },
    { turn: (map: BadPlace[]) => turnedOver(map, WIDTH), along: false, across: true },
  ];

  test.each(ways)('are the same roll after being turned twice (%#)', ({ turn }) => {
    for (const map of maps) expect(onRoll(turn(turn(map)))).toEqual(onRoll(map));
  });

  test('keep every bad place where it is on the film, whatever is done to the roll', () => {
    for (const [seed, map] of maps.entries()) {
      const random = seeded(1000 + seed);
      let turned = map;
      let fromInnerEnd = false;
      let fromRightEdge = false;
      for (let step = 0; step < 7; step++) {
        const way = ways[random() < 0.5 ? 0 : 1]!;
        turned = way.turn(turned);
        fromInnerEnd = fromInnerEnd !== way.along;
        fromRightEdge = fromRightEdge !== way.across;
      }
      // measured from the end and the edge that the map now counts from, the film is the same
      const physical = onRoll(turned).map((place) => ({
        ...place,
        fromMm: fromInnerEnd ? LENGTH - place.toMm : place.fromMm,
        toMm: fromInnerEnd ? LENGTH - place.fromMm : place.toMm,
        fromUm: fromRightEdge ? WIDTH - place.toUm : place.fromUm,
        toUm: fromRightEdge ? WIDTH - place.fromUm : place.toUm,
      }));
      expect(physical).toEqual(onRoll(map));
    }
  });
});
