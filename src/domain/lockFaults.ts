// What is wrong with the runs that are to stay as they are, and with the rolls that are not to be used: names that point
// nowhere, strips and sets that contradict each other. Whether a run keeps the machine's limits is seen by checkPlan.
import type { Fault } from './jsonText.ts';
import { fault, quoted, unknownName } from './problemReferences.ts';
import type { ProblemDocument } from './problemSchema.ts';

type Doc = ProblemDocument;
type Lock = NonNullable<Doc['locks']>[number];
type Strip = Lock['strips'][number];

/** All faults of `locks`, `limits.excludeRolls` and `limits.keepPatterns`. */
export function findLockFaults(document: Doc): Fault[] {
  const excluded = document.limits?.excludeRolls ?? [];
  return [
    ...(document.locks ?? []).flatMap((lock, index) => lockFaults(document, lock, `locks[${index}]`)),
    ...excluded.flatMap((name, index) =>
      isSingleRoll(document, name) || (document.rolls ?? []).some((roll) => roll.id === name)
        ? []
        : [unknownRoll(`limits.excludeRolls[${index}]`, name)],
    ),
    ...(document.limits?.keepPatterns ?? []).flatMap(({ slitter }, index) =>
      unknownName(`limits.keepPatterns[${index}].slitter`, slitter, document.slitters, 'slitter'),
    ),
  ];
}

function lockFaults(document: Doc, lock: Lock, path: string): Fault[] {
  return [
    ...unknownName(`${path}.slitter`, lock.slitter, document.slitters, 'slitter'),
    ...unknownName(`${path}.product`, lock.product, document.products, 'product'),
    ...lock.strips.flatMap((strip, index) => stripFaults(document, lock, strip, `${path}.strips[${index}]`)),
    ...lock.from.flatMap(({ roll }, index) =>
      rollFaults(document, lock, roll, `${path}.from[${index}].roll`),
    ),
    ...setFaults(lock, path),
  ];
}

function stripFaults(document: Doc, lock: Lock, strip: Strip, path: string): Fault[] {
  const given = [strip.order, strip.filler, strip.waste].filter((use) => use !== undefined).length;
  const faults: Fault[] = [];
  if (given !== 1)
    faults.push(
      fault(path, `has ${given} of order, filler and waste`, 'exactly one of order, filler and waste'),
    );
  if (strip.toMm <= strip.fromMm)
    faults.push(fault(`${path}.toMm`, `is ${strip.toMm}, not beyond fromMm`, `above ${strip.fromMm}`));
  const width = strip.toMm - strip.fromMm;
  const order = document.orders.find(({ id }) => id === strip.order);
  const filler = strip.filler === undefined ? undefined : document.fillers?.[strip.filler];
  if (strip.order !== undefined && !order)
    faults.push(...unknownName(`${path}.order`, strip.order, document.orders, 'order'));
  if (strip.filler !== undefined && !filler)
    faults.push(
      fault(`${path}.filler`, `is ${strip.filler}`, 'the place of a filler in fillers, counted from 0'),
    );
  const wanted = order ?? filler;
  if (
    wanted &&
    (Math.abs(wanted.widthMm - width) > 5e-4 ||
      wanted.lengthM !== lock.lengthM ||
      wanted.product !== lock.product)
  )
    faults.push(
      fault(
        path,
        `is ${Math.round(width * 1000) / 1000} mm x ${lock.lengthM} m of ${lock.product}`,
        `${wanted.widthMm} mm x ${wanted.lengthM} m of ${wanted.product}, as it is wanted`,
      ),
    );
  return faults;
}

function rollFaults(document: Doc, lock: Lock, name: string, path: string): Fault[] {
  const roll = singleRoll(document, name);
  if (!roll) return [unknownRoll(path, name)];
  const product = document.products.find(({ id }) => id === lock.product);
  const item = roll.item ?? (roll.kind === 'base' ? document.grades : document.products)?.[0]?.id ?? '';
  const serves = roll.kind === 'base' ? product?.coating?.grades.includes(item) : item === lock.product;
  const allowed = product?.slitters?.includes(lock.slitter) ?? true;
  const before = document.locks?.find(
    (other) => other.slitter !== lock.slitter && other.from.some((from) => from.roll === name),
  );
  const faults: Fault[] = [];
  if (product && !serves) faults.push(fault(path, `is of ${item}`, `a roll for ${lock.product}`));
  if (product && !allowed)
    faults.push(fault(path, `is slit on ${lock.slitter}`, `a slitter that may run ${lock.product}`));
  if (before) faults.push(fault(path, 'is locked on two slitters', 'a roll on one slitter only'));
  return faults;
}

function setFaults(lock: Lock, path: string): Fault[] {
  const sum = lock.from.reduce((total, { sets }) => total + sets, 0);
  return sum === lock.sets
    ? []
    : [fault(`${path}.sets`, `is ${lock.sets}`, `${sum}, the sets taken from its rolls together`)];
}

const isSingleRoll = (document: Doc, name: string) => singleRoll(document, name) !== undefined;

function singleRoll(document: Doc, name: string) {
  const single = /^(.*)#([1-9]\d*)$/.exec(name);
  return (document.rolls ?? []).find(
    ({ id, count = 1 }) =>
      (id === name && count === 1) || (single?.[1] === id && count > 1 && Number(single[2]) <= count),
  );
}

function unknownRoll(path: string, name: string): Fault {
  return fault(
    path,
    `there is no single roll ${quoted(name)} in stock`,
    'the id of a roll in this file; id#1 to id#n where n of them are counted',
  );
}
