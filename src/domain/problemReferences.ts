// What the schema cannot see in a problem document: names that point nowhere or at two things, and fields that
// contradict each other. Every fault carries its JSON path, what is wrong and what would be right.
import type { Fault } from './jsonText.ts';
import { LARGEST, type ProblemDocument } from './problemSchema.ts';

type Doc = ProblemDocument;
type Roll = NonNullable<Doc['rolls']>[number];
type Offer = NonNullable<Doc['offers']>[number];

/** All faults of reference and of consistency, in document order. */
export function findReferenceFaults(document: Doc): Fault[] {
  return [
    ...duplicates('slitters', document.slitters),
    ...duplicates('products', document.products),
    ...duplicates('grades', document.grades ?? []),
    ...duplicates('rolls', document.rolls ?? []),
    ...duplicates('offers', document.offers ?? []),
    ...duplicates('orders', document.orders),
    ...rollNameClashes(document),
    ...document.slitters.flatMap(slitterFaults),
    ...document.products.flatMap((product, index) => productFaults(document, product, index)),
    ...(document.rolls ?? []).flatMap((roll, index) => rollFaults(document, roll, `rolls[${index}]`)),
    ...(document.offers ?? []).flatMap((offer, index) => offerFaults(document, offer, `offers[${index}]`)),
    ...document.orders.flatMap((order, index) => orderFaults(document, order, `orders[${index}]`)),
    ...(document.fillers ?? []).flatMap((filler, index) =>
      unknownName(`fillers[${index}].product`, filler.product, document.products, 'product'),
    ),
  ];
}

export const quoted = (text: string) => JSON.stringify(text);

function duplicates(name: string, items: { id: string }[]): Fault[] {
  const first = new Map<string, number>();
  return items.flatMap(({ id }, index) => {
    const before = first.get(id);
    if (before === undefined) first.set(id, index);
    return before === undefined
      ? []
      : [
          fault(
            `${name}[${index}].id`,
            `${quoted(id)} is already the id of ${name}[${before}]`,
            'an id of its own',
          ),
        ];
  });
}

export function fault(path: string, wrong: string, right: string): Fault {
  return { path, wrong, right };
}

export function unknownName(path: string, id: string, known: { id: string }[], noun: string): Fault[] {
  if (known.some((item) => item.id === id)) return [];
  const names = known.slice(0, 20).map((item) => quoted(item.id));
  const more = known.length > 20 ? ', ...' : '';
  const right = names.length
    ? `the id of a ${noun} in this file: ${names.join(', ')}${more}`
    : `a ${noun} in this file`;
  return [fault(path, `there is no ${noun} ${quoted(id)}`, right)];
}

/** A roll of count n is known as id#1 ... id#n, a purchased roll as offer#k: nothing else may have such a name. */
function rollNameClashes(document: Doc): Fault[] {
  const owners = new Map<string, { path: string; count: number }>();
  document.rolls?.forEach((roll, index) => {
    if ((roll.count ?? 1) > 1) owners.set(roll.id, { path: `rolls[${index}]`, count: roll.count ?? 1 });
  });
  document.offers?.forEach((offer, index) => {
    owners.set(offer.id, { path: `offers[${index}]`, count: Number.POSITIVE_INFINITY });
  });
  const named = (list: 'rolls' | 'offers') =>
    (document[list] ?? []).flatMap(({ id }, index) => {
      const single = /^(.*)#([1-9]\d*)$/.exec(id);
      const owner = single && owners.get(single[1] ?? '');
      if (!owner || Number(single[2]) > owner.count) return [];
      return [
        fault(
          `${list}[${index}].id`,
          `${quoted(id)} is also the name of a single roll of ${owner.path}`,
          'an id of its own',
        ),
      ];
    });
  const offerIds = new Set((document.offers ?? []).map((offer) => offer.id));
  const shared = (document.rolls ?? []).flatMap(({ id }, index) =>
    offerIds.has(id)
      ? [fault(`rolls[${index}].id`, `${quoted(id)} is also the id of an offer`, 'an id of its own')]
      : [],
  );
  return [...named('rolls'), ...named('offers'), ...shared];
}

function slitterFaults(slitter: Doc['slitters'][number], index: number): Fault[] {
  return (['left', 'right'] as const).flatMap((side) => {
    const least = slitter.edgeTrimMinMm?.[side] ?? 0;
    const most = slitter.edgeTrimMaxMm?.[side] ?? Number.POSITIVE_INFINITY;
    if (least <= most) return [];
    return [
      fault(
        `slitters[${index}].edgeTrimMaxMm.${side}`,
        `is ${most}, below the minimum`,
        `at least edgeTrimMinMm.${side}, ${least} mm`,
      ),
    ];
  });
}

function productFaults(document: Doc, product: Doc['products'][number], index: number): Fault[] {
  const path = `products[${index}]`;
  const slitters = (product.slitters ?? []).flatMap((id, at) =>
    unknownName(`${path}.slitters[${at}]`, id, document.slitters, 'slitter'),
  );
  const grades = (product.coating?.grades ?? []).flatMap((id, at) =>
    unknownName(`${path}.coating.grades[${at}]`, id, document.grades ?? [], 'grade'),
  );
  const limited = document.slitters.some((slitter) => slitter.maxRollDiameterMm !== undefined);
  const half = (product.layerThicknessUm === undefined) !== (product.coreOutsideDiameterMm === undefined);
  const missing = product.layerThicknessUm === undefined ? 'layerThicknessUm' : 'coreOutsideDiameterMm';
  const diameter =
    limited && half
      ? [
          fault(
            `${path}.${missing}`,
            'is missing',
            'both layerThicknessUm and coreOutsideDiameterMm, or neither: a slitter limits the roll diameter',
          ),
        ]
      : [];
  return [...slitters, ...grades, ...diameter];
}

function rollFaults(document: Doc, roll: Roll, path: string): Fault[] {
  const dates =
    roll.readyOn && roll.useBy && roll.useBy < roll.readyOn
      ? [
          fault(
            `${path}.useBy`,
            `${roll.useBy} is before the roll is ready`,
            `${roll.readyOn} (readyOn) or later`,
          ),
        ]
      : [];
  return [...itemFaults(document, roll, path), ...dates, ...defectFaults(roll, path)];
}

function itemFaults(document: Doc, roll: Roll, path: string): Fault[] {
  const grades = document.grades ?? [];
  if (roll.kind === 'base') {
    if (roll.item !== undefined) return unknownName(`${path}.item`, roll.item, grades, 'grade');
    if (grades.length === 1) return [];
    return [fault(`${path}.item`, 'is missing', 'the id of a grade in this file')];
  }
  if (roll.item !== undefined) return unknownName(`${path}.item`, roll.item, document.products, 'product');
  if (document.products.length === 1) return [];
  return [
    fault(
      `${path}.item`,
      'is missing, and there is more than one product',
      'the id of a product in this file',
    ),
  ];
}

function defectFaults(roll: Roll, path: string): Fault[] {
  return (roll.defects ?? []).flatMap((defect, index) => {
    const at = `${path}.defects[${index}]`;
    const faults: Fault[] = [];
    const { fromM = 0, toM = roll.lengthM, fromMm = 0, toMm = roll.widthMm } = defect;
    if (toM > roll.lengthM)
      faults.push(fault(`${at}.toM`, `is ${toM}, beyond the roll`, `at most its lengthM, ${roll.lengthM}`));
    if (toMm > roll.widthMm)
      faults.push(fault(`${at}.toMm`, `is ${toMm}, beyond the roll`, `at most its widthMm, ${roll.widthMm}`));
    if (fromM >= toM) faults.push(fault(`${at}.fromM`, `is ${fromM}, not before toM`, `below ${toM}`));
    if (fromMm >= toMm) faults.push(fault(`${at}.fromMm`, `is ${fromMm}, not before toMm`, `below ${toMm}`));
    return faults;
  });
}

function offerFaults(document: Doc, offer: Offer, path: string): Fault[] {
  const faults = unknownName(`${path}.grade`, offer.grade, document.grades ?? [], 'grade');
  const grade = document.grades?.findIndex((item) => item.id === offer.grade) ?? -1;
  for (const field of ['thicknessUm', 'densityGPerCm3'] as const) {
    if (grade >= 0 && document.grades?.[grade]?.[field] === undefined)
      faults.push(
        fault(
          `grades[${grade}].${field}`,
          `is missing, and ${path} sells this grade by mass`,
          'a number above 0',
        ),
      );
  }
  if ((offer.widthMm === undefined) === (offer.widthRangeMm === undefined))
    faults.push(
      fault(
        `${path}.widthMm`,
        offer.widthMm === undefined ? 'no width is given' : 'a width and a width range are given',
        'either widthMm or widthRangeMm',
      ),
    );
  const range = offer.widthRangeMm;
  if (range && range.min > range.max)
    faults.push(fault(`${path}.widthRangeMm.max`, `is ${range.max}, below min`, `at least ${range.min}`));
  return faults;
}

/** An order wider than every web its slitters take can never be made: an error of the file, not a short order. */
function orderFaults(document: Doc, order: Doc['orders'][number], path: string): Fault[] {
  const unknown = unknownName(`${path}.product`, order.product, document.products, 'product');
  const good = goodRollFaults(order, path);
  if (unknown.length || good.length) return [...unknown, ...good];
  const allowed = document.products.find((product) => product.id === order.product)?.slitters;
  const usable = document.slitters
    .filter((slitter) => !allowed || allowed.includes(slitter.id))
    .map(
      ({ maxWebWidthMm = Number.POSITIVE_INFINITY, edgeTrimMinMm: trim }) =>
        maxWebWidthMm - (trim?.left ?? 0) - (trim?.right ?? 0),
    );
  const widest = Math.max(...usable);
  if (usable.length === 0 || order.widthMm <= widest + 1e-9) return [];
  return [
    fault(
      `${path}.widthMm`,
      `is ${order.widthMm}, wider than any web of its slitters between the edge trims`,
      `at most ${widest} mm`,
    ),
  ];
}

function goodRollFaults(order: Doc['orders'][number], path: string): Fault[] {
  const { goodRollPct, completePct, rolls } = order;
  if (goodRollPct === undefined)
    return completePct === undefined
      ? []
      : [fault(`${path}.completePct`, 'is given without goodRollPct', 'goodRollPct as well, or neither')];
  if ((100 * rolls) / goodRollPct <= LARGEST) return [];
  return [
    fault(
      `${path}.goodRollPct`,
      `is ${goodRollPct} for ${rolls} rolls`,
      `a share with which fewer than ${LARGEST} rolls are started`,
    ),
  ];
}
