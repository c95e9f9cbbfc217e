// Which line of the purchase order each roll that came fills. A line that is named goes first; else the line of the same
// grade and width that still waits for rolls. More than was ordered is odd, not wrong: it has to be confirmed.
import type { LineProgress } from '../../domain/purchaseOrder.ts';
import type { Fault } from '../../domain/resource.ts';
import { umToMm } from '../../domain/units.ts';
import type { OrderProgress } from '../../store/purchaseOrders.ts';
import type { ReadRoll } from './receipt.ts';

/** Sets the line of each good roll, with its faults and warnings. */
export function fillLines(rolls: readonly ReadRoll[], order: OrderProgress): void {
  const come = new Map(order.lines.map(({ line, received }) => [line, received]));
  for (const roll of rolls.filter(({ faults }) => faults.length === 0)) {
    const line = lineOf(roll, order, come);
    if (!line) {
      roll.faults.push(noLine(roll, order));
      continue;
    }
    roll.line = line.line;
    const many = (come.get(line.line) ?? 0) + 1;
    come.set(line.line, many);
    roll.warnings.push(...oddities(roll, line, many, order.code));
  }
}

function lineOf(
  roll: ReadRoll,
  order: OrderProgress,
  come: ReadonlyMap<number, number>,
): LineProgress | undefined {
  const ofGrade = order.lines.filter(({ grade }) => grade === roll.row.item);
  if (roll.line !== null) return ofGrade.find(({ line }) => line === roll.line);
  const same = ofGrade.filter(({ widthUm }) => widthUm === roll.row.widthUm);
  const waiting = same.find(({ line, rolls }) => (come.get(line) ?? 0) < rolls);
  return waiting ?? same.at(-1) ?? (ofGrade.length === 1 ? ofGrade[0] : undefined);
}

function oddities(roll: ReadRoll, line: LineProgress, many: number, order: string): string[] {
  const odd: string[] = [];
  const widthUm = roll.row.widthUm as number;
  if (widthUm !== line.widthUm)
    odd.push(`it is ${umToMm(widthUm)} mm wide, line ${line.line} asks for ${umToMm(line.widthUm)} mm`);
  if (many > line.rolls)
    odd.push(`line ${line.line} of ${order} asks for ${line.rolls}, this is number ${many}`);
  return odd;
}

function noLine({ row, line }: ReadRoll, order: OrderProgress): Fault {
  const asked = order.lines
    .map((one) => `line ${one.line}: ${one.grade}, ${umToMm(one.widthUm)} mm`)
    .join('; ');
  const what = `${row.item}, ${umToMm(row.widthUm as number)} mm`;
  return {
    field: 'line',
    column: 'Order line',
    value: line === null ? what : String(line),
    wrong:
      line === null
        ? `no one line of ${order.code} asks for ${what}`
        : `line ${line} of ${order.code} does not ask for ${row.item}`,
    right: `${asked}; or received without the order`,
  };
}
