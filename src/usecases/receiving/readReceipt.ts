// A goods receipt as typed, read against what the house knows: each roll with what is wrong with it, and what somebody
// has to confirm. Stores nothing; receiveRolls.ts reads it again inside its own transaction.
import type { Knex } from 'knex';
import { MAY_ARRIVE } from '../../domain/purchaseOrder.ts';
import { OUR_NUMBERS, RECEIPT_FIELDS, ROLL_LIST } from '../../domain/receipt.ts';
import { disagreementWords, reconcile } from '../../domain/reconcile.ts';
import { type Fault, fieldHead, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type OrderProgress, selectOrder } from '../../store/purchaseOrders.ts';
import { receivedBefore } from '../../store/receipts.ts';
import { findCodes, findRows } from '../../store/rows.ts';
import { crossCheck } from '../tables/crossChecks.ts';
import { checkTogether, completeRow, readFields } from '../tables/rowInput.ts';
import { fillLines } from './fillLines.ts';
import { readRollList } from './readRollList.ts';
import type { ReadReceipt, ReadRoll, TypedReceipt } from './receipt.ts';

const ALL_HEAD = { fields: Object.values(RECEIPT_FIELDS).flat() };

export async function readReceipt(
  db: Knex,
  typed: TypedReceipt,
  lock: 'lock' | 'read',
): Promise<ReadReceipt> {
  const { given: head, faults } = readFields(
    ALL_HEAD,
    Object.fromEntries(ALL_HEAD.fields.map(({ name }) => [name, typed.head[name] ?? ''])),
    'auto',
  );
  const order = await orderOf(db, head, faults, lock);
  await supplierOf(db, head, order, faults);
  const table = readRollList(typed.list);
  faults.push(...table.faults.map((fault) => ({ ...fault, field: 'list' })));
  const rolls = table.rows.map((line) => readRoll(line, head, table.decimal));
  const read = { delimiter: table.delimiter, decimal: table.decimal };
  if (faults.length === 0) await checkRolls(db, rolls, head, order);
  return { head, order, faults, rolls, read };
}

const headFault = (name: string, value: string, wrong: string, right: string): Fault => {
  const field = ALL_HEAD.fields.find((one) => one.name === name);
  return { field: name, column: field ? fieldHead(field) : name, value, wrong, right };
};

async function orderOf(db: Knex, head: Row, faults: Fault[], lock: 'lock' | 'read') {
  if (!head.purchaseOrder) return undefined;
  const code = String(head.purchaseOrder);
  const order = await selectOrder(db, code, lock);
  if (order && MAY_ARRIVE.includes(order.status)) return order;
  const wrong = order
    ? `purchase order ${order.code} is ${order.status}`
    : `there is no purchase order ${code}`;
  faults.push(headFault('purchaseOrder', code, wrong, 'an order that is sent or confirmed, or none'));
  return undefined;
}

/** The supplier is the order's; without an order it must be said. */
async function supplierOf(db: Knex, head: Row, order: OrderProgress | undefined, faults: Fault[]) {
  const said = head.supplier as string | null | undefined;
  if (order && (!said || said.toLowerCase() === order.supplier.toLowerCase())) head.supplier = order.supplier;
  else if (order && said)
    faults.push(
      headFault('supplier', said, `${order.code} was ordered from ${order.supplier}`, order.supplier),
    );
  else if (!said && !head.purchaseOrder)
    faults.push(headFault('supplier', '', 'nobody is named who sent it', 'a supplier or a purchase order'));
  else if (said) {
    const known = (await findCodes(db, RESOURCES.suppliers, [said])).get(said.toLowerCase());
    if (known) head.supplier = known;
    else
      faults.push(
        headFault('supplier', said, `there is no supplier ${said}`, 'a code from the list of suppliers'),
      );
  }
}

type ListLine = ReturnType<typeof readRollList>['rows'][number];

/** The cells of the list over what was said for all rolls. */
function readRoll(line: ListLine, head: Row, decimal: Parameters<typeof readFields>[2]): ReadRoll {
  const cells = Object.fromEntries(Object.entries(line.typed).filter(([, text]) => text.trim() !== ''));
  const { given, faults } = readFields(ROLL_LIST, cells, decimal);
  const said: Row = { ...head, ...given };
  const supplierRoll = String(given.supplierRoll ?? cells.supplierRoll ?? '');
  const kept = head.numbers === OUR_NUMBERS ? null : supplierRoll;
  const own = { code: kept, kind: 'base', status: 'in quarantine', supplier: head.supplier ?? null };
  const bare = Object.fromEntries(RESOURCES.rolls.fields.map(({ name }) => [name, said[name] ?? null]));
  const row = { ...completeRow(RESOURCES.rolls, { ...bare, rollMap: said.rollMap ?? [] }).row, ...own };
  return {
    number: line.row,
    supplierRoll,
    row,
    diameterUm: (said.diameterUm as number | undefined) ?? null,
    coreOutsideUm: (said.coreOutsideUm as number | undefined) ?? null,
    line: (said.line as number | undefined) ?? null,
    faults: [...line.faults, ...faults, ...missing(supplierRoll, row, said, faults)],
    warnings: [],
  };
}

const listFault = (name: string, value: string, wrong: string, right: string): Fault => {
  const field = ROLL_LIST.fields.find((one) => one.name === name);
  return { field: name, column: field ? fieldHead(field) : name, value, wrong, right };
};

function missing(supplierRoll: string, row: Row, said: Row, faults: readonly Fault[]): Fault[] {
  const found: Fault[] = [];
  const lacks = (name: string, wrong: string) => {
    if (!faults.some((fault) => fault.field === name))
      found.push(listFault(name, '', wrong, 'a value in the list, or one above for all rolls'));
  };
  if (supplierRoll === '')
    found.push(
      listFault(
        'supplierRoll',
        '',
        'the number of the roll is missing',
        "the number on the supplier's label",
      ),
    );
  if (row.item === null) lacks('item', 'the grade is missing');
  if (row.widthUm === null) lacks('widthUm', 'the width is missing');
  if (row.lengthMm === null) lacks('lengthMm', 'the length is missing');
  if (said.diameterUm !== undefined && (said.coreOutsideUm ?? null) === null)
    lacks('coreOutsideUm', 'a diameter says nothing without the outside of the core');
  else if (said.diameterUm !== undefined && Number(said.diameterUm) <= Number(said.coreOutsideUm))
    found.push(
      listFault('diameterUm', '', 'the roll is no larger than its core', 'the outside diameter of the roll'),
    );
  return found;
}

async function checkRolls(db: Knex, rolls: ReadRoll[], head: Row, order: OrderProgress | undefined) {
  // An order with one line says what its rolls are.
  const only = order?.lines.length === 1 ? order.lines[0] : undefined;
  if (only) for (const { row, faults } of rolls) takeFromLine(row, faults, only);
  const crossed = await crossCheck(
    db,
    RESOURCES.rolls,
    rolls.map(({ row }) => row),
  );
  rolls.forEach((roll, index) => {
    roll.faults.push(...(crossed[index] ?? []));
    if (roll.faults.length === 0) roll.faults.push(...checkTogether(RESOURCES.rolls, roll.row));
  });
  await checkNumbers(db, rolls, String(head.supplier));
  await reconcileRolls(db, rolls, head);
  if (order) fillLines(rolls, order);
  else
    for (const { faults, line } of rolls)
      if (line !== null)
        faults.push(
          listFault('line', String(line), 'there is no purchase order', 'the order above, or no line'),
        );
}

function takeFromLine(row: Row, faults: Fault[], line: OrderProgress['lines'][number]): void {
  const from: Row = { item: line.grade, widthUm: line.widthUm };
  for (const name of ['item', 'widthUm']) {
    if (row[name] !== null) continue;
    row[name] = from[name];
    const at = faults.findIndex((fault) => fault.field === name);
    if (at >= 0 && faults[at]?.value === '') faults.splice(at, 1);
  }
}

/** No number twice in the list, none that has come in before, none that another roll in the house has. */
async function checkNumbers(db: Knex, rolls: ReadRoll[], supplier: string): Promise<void> {
  const numbers = rolls.map(({ supplierRoll }) => supplierRoll);
  const before = await receivedBefore(db, supplier, numbers);
  const kept = rolls.flatMap(({ row }) => (row.code === null ? [] : [String(row.code)]));
  const taken = await findCodes(db, RESOURCES.rolls, kept);
  const firstAt = new Map<string, number>();
  for (const { supplierRoll, number, row, faults } of rolls) {
    const key = supplierRoll.toLowerCase();
    const wrong = firstAt.has(key)
      ? [`${supplierRoll} is also in row ${firstAt.get(key)}`, 'each roll once']
      : before.has(key)
        ? [
            `${supplierRoll} of ${supplier} came in before, as ${before.get(key)}`,
            'a roll that is not in the house yet',
          ]
        : row.code !== null && taken.has(key)
          ? [`another roll in the house has the number ${supplierRoll}`, 'our next numbers']
          : undefined;
    if (wrong && supplierRoll !== '')
      faults.push(listFault('supplierRoll', supplierRoll, wrong[0] as string, wrong[1] as string));
    if (!firstAt.has(key)) firstAt.set(key, number);
  }
}

async function reconcileRolls(db: Knex, rolls: ReadRoll[], head: Row): Promise<void> {
  const good = rolls.filter(({ faults }) => faults.length === 0);
  const codes = [...new Set(good.map(({ row }) => String(row.item)))];
  const grades = new Map((await findRows(db, RESOURCES.grades, codes)).map((grade) => [grade.code, grade]));
  for (const { row, diameterUm, coreOutsideUm, warnings } of good) {
    const grade = grades.get(row.item) as Row;
    const lengthMm = row.lengthMm as number;
    const off = reconcile(
      {
        lengthMm,
        widthUm: row.widthUm as number,
        massKg: row.massKg as number | null,
        diameterUm,
        coreOutsideUm,
        thicknessUm: grade.thicknessUm as number,
        densityGPerCm3: grade.densityGPerCm3 as number,
        airPct: (head.airPct as number | null) ?? 0,
      },
      head.tolerancePct as number,
    );
    warnings.push(...off.map((one) => disagreementWords(one, lengthMm)));
  }
}
