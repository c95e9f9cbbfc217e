// The family as columns for the picture and as a nested list: lot, base film, coated rolls, how many finished rolls for whom.
import type { Family, FamilyRoll, FinishedOfParent } from '../../usecases/rolls/readFamily.ts';
import type { FamilyColumn, FamilyNode } from '../drawings/pictureFamily.ts';
import { andList, count, grouped, rowHref } from '../words.ts';

const familyHref = (code: string): string => `${rowHref('rolls', code)}/family`;
export const lotHref = (lot: string): string => `/lots/${encodeURIComponent(lot)}`;
const size = ({ widthUm }: FamilyRoll): string => `${grouped(widthUm / 1000)} mm`;

/** Base film first; each later column begins with what was made of the first of the one before. */
export function familyColumns(family: Family): FamilyColumn[] {
  const starts = new Set(family.starts);
  const node = (roll: FamilyRoll, from: string[]): FamilyNode => ({
    id: roll.code,
    from,
    label: roll.code,
    sub: `${roll.item}, ${size(roll)}${roll.kind !== 'base' && roll.lot ? `, lot ${roll.lot}` : ''}`,
    href: familyHref(roll.code),
    here: starts.has(roll.code),
  });
  const of = (wanted: (roll: FamilyRoll) => boolean) => family.rolls.filter(wanted);
  const base = of(({ kind }) => kind === 'base');
  const lots = lotNodes(base);
  const films = inOrderOf(
    lots,
    base.map((roll) => node(roll, [lotId(roll)])),
  );
  const coated = inOrderOf(
    films,
    of(({ kind }) => kind === 'coated' || kind === 'stub').map((roll) => node(roll, roll.parents)),
  );
  const finished = of(({ kind }) => kind === 'finished').map((roll) => node(roll, roll.parents));
  return [
    { head: "supplier's lot", nodes: lots },
    { head: 'base film', nodes: films },
    { head: 'coated rolls', nodes: coated },
    { head: 'finished roll', nodes: finished },
    { head: 'finished rolls for', nodes: customerNodes(family.finished.parents) },
    { head: 'for', nodes: of(({ order }) => order !== null).map(orderNode) },
  ];
}

const orderNode = ({ code, order, customerName }: FamilyRoll): FamilyNode => ({
  id: `order ${order}`,
  from: [code],
  label: customerName ?? '',
  sub: `order ${order}`,
  href: rowHref('orders', String(order)),
});

const lotId = ({ supplier, lot }: FamilyRoll): string => JSON.stringify([supplier, lot]);

function lotNodes(base: readonly FamilyRoll[]): FamilyNode[] {
  const lots = new Map<string, FamilyRoll[]>();
  for (const roll of base) lots.set(lotId(roll), [...(lots.get(lotId(roll)) ?? []), roll]);
  return [...lots].map(([id, rolls]) => {
    const { lot, supplierName, supplier } = rolls[0] as FamilyRoll;
    return {
      id,
      from: [],
      label: lot ? `lot ${lot}` : 'no lot entered',
      sub: supplierName ?? supplier ?? 'no supplier entered',
      href: lot ? lotHref(lot) : undefined,
    };
  });
}

function inOrderOf(before: readonly FamilyNode[], nodes: FamilyNode[]): FamilyNode[] {
  const place = new Map(before.map(({ id }, i) => [id, i]));
  const first = ({ from }: FamilyNode) =>
    Math.min(...from.map((id) => place.get(id) ?? before.length), before.length);
  return nodes.sort((a, b) => first(a) - first(b) || (a.id < b.id ? -1 : 1));
}

function customerNodes(finished: readonly FinishedOfParent[]): FamilyNode[] {
  const customers = new Map<string | null, FinishedOfParent[]>();
  for (const part of finished) customers.set(part.customer, [...(customers.get(part.customer) ?? []), part]);
  const rolls = (parts: readonly FinishedOfParent[]) => parts.reduce((sum, part) => sum + part.rolls, 0);
  return [...customers]
    .sort(([, a], [, b]) => rolls(b) - rolls(a))
    .map(([customer, parts]) => ({
      id: `customer ${customer}`,
      from: parts.map(({ parent }) => parent),
      label: parts[0]?.customerName ?? customer ?? 'the shelf',
      sub: count(rolls(parts), 'finished roll'),
      href: customer === null ? undefined : rowHref('customers', customer),
    }));
}

export interface TreeItem {
  text: string;
  href: string;
  rest: string;
  here: boolean;
  /** What was made of it and is counted only. */
  finished: string;
  children: TreeItem[];
}

/** The same as a nested list; a roll of several parents stands under each. */
export function familyList(family: Family): TreeItem[] {
  const known = new Set(family.rolls.map(({ code }) => code));
  const children = new Map<string, FamilyRoll[]>();
  for (const roll of family.rolls)
    for (const parent of roll.parents) children.set(parent, [...(children.get(parent) ?? []), roll]);
  const item = (roll: FamilyRoll): TreeItem => ({
    text: roll.code,
    href: familyHref(roll.code),
    rest: [
      `${roll.kind === 'base' ? 'base film' : roll.kind === 'finished' ? 'finished roll' : `${roll.kind} roll`} ${roll.item}`,
      size(roll),
      ...(roll.kind === 'base' && roll.supplierName ? [`from ${roll.supplierName}`] : []),
      ...(roll.lot ? [`lot ${roll.lot}`] : []),
      ...(roll.receivedOn ? [`of ${roll.receivedOn}`] : []),
      ...(roll.order ? [`for ${roll.customerName}, order ${roll.order}`] : []),
      roll.lengthMm > 0 ? `${grouped(roll.lengthMm / 1000)} m left, ${roll.status}` : roll.status,
    ].join(', '),
    here: family.starts.length === 1 && family.starts[0] === roll.code,
    finished: finishedWords(family.finished.parents.filter(({ parent }) => parent === roll.code)),
    children: (children.get(roll.code) ?? []).map(item),
  });
  return family.rolls.filter(({ parents }) => !parents.some((parent) => known.has(parent))).map(item);
}

const NAMED = 3;

function finishedWords(parts: readonly FinishedOfParent[]): string {
  if (parts.length === 0) return '';
  const rolls = parts.reduce((sum, part) => sum + part.rolls, 0);
  const whom = parts
    .slice(0, NAMED)
    .map((part) => `${grouped(part.rolls)} for ${part.customerName ?? 'the shelf'}`);
  const more = parts.length > NAMED ? [`more for ${count(parts.length - NAMED, 'other')}`] : [];
  return `${count(rolls, 'finished roll')}: ${andList([...whom, ...more])}`;
}
