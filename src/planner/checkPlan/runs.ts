// A run as a whole: one slitter, one product, one finished length, one web width, and sets that add up.
import type { Clause, RunFacts } from './facts.ts';
import { fault } from './facts.ts';

const eachRun =
  (check: (run: RunFacts, index: number) => ReturnType<Clause>): Clause =>
  ({ runs }) =>
    runs.flatMap(check);

const knownSlitter = eachRun(({ where, run, slitter }) =>
  slitter ? [] : [fault(`${where}.slitter`, 'known-slitter', 'a slitter of the problem', run.slitter)],
);

const knownProduct = eachRun(({ where, run, product }) =>
  product ? [] : [fault(`${where}.product`, 'known-product', 'a product of the problem', run.product)],
);

const allowedSlitter = eachRun(({ where, run, product }) =>
  !product || product.slitters.includes(run.slitter)
    ? []
    : [fault(`${where}.slitter`, 'allowed-slitter', `one of ${product.slitters.join(', ')}`, run.slitter)],
);

const sequence = eachRun(({ where, run }, index) =>
  run.sequence === index + 1 ? [] : [fault(`${where}.sequence`, 'sequence', index + 1, run.sequence)],
);

const wholeMillimetres = eachRun(({ where, run, lengthMm }) =>
  lengthMm > 0 && Math.abs(run.lengthM * 1000 - lengthMm) < 1e-6
    ? []
    : [fault(`${where}.lengthM`, 'finished-length', 'a length above 0, to 0.001 m', run.lengthM)],
);

const wholeSets = eachRun(({ where, run, blocks }) => {
  const whole = (sets: number) => Number.isInteger(sets) && sets > 0;
  const faults = blocks
    .filter(({ from }) => !whole(from.sets))
    .map((block) => fault(`${block.where}.sets`, 'whole-sets', 'a whole number above 0', block.from.sets));
  const sum = run.from.reduce((total, { sets }) => total + sets, 0);
  if (!whole(run.sets) || run.sets !== sum) faults.push(fault(`${where}.sets`, 'sets-add-up', sum, run.sets));
  return faults;
});

const oneWidth = eachRun(({ blocks, widthUm }) =>
  blocks
    .filter(({ roll }) => roll && roll.widthUm !== widthUm)
    .map((block) =>
      fault(`${block.where}.roll`, 'one-web-width', `${(widthUm ?? 0) / 1000} mm`, block.from.roll),
    ),
);

const sameProduct = eachRun(({ run, blocks }) =>
  blocks
    .filter(({ roll }) => roll && roll.product !== run.product)
    .map(({ where, from, roll }) =>
      fault(
        `${where}.roll`,
        'roll-product',
        run.product,
        `${from.roll} of ${roll?.product ?? 'uncoated film'}`,
      ),
    ),
);

const webWidth = eachRun(({ where, slitter, widthUm }) =>
  slitter && widthUm !== undefined && widthUm > slitter.maxWebWidthUm
    ? [fault(where, 'web-width', `at most ${slitter.maxWebWidthUm / 1000} mm`, `${widthUm / 1000} mm`)]
    : [],
);

export const runClauses: Clause[] = [
  knownSlitter,
  knownProduct,
  allowedSlitter,
  sequence,
  wholeMillimetres,
  wholeSets,
  oneWidth,
  sameProduct,
  webWidth,
];
