// The audit as lines of text: the answer first, then what was looked at, then each rule with its faults. m and kg.
import type { Audit, CheckedRule } from '../usecases/afterwards/auditStock.ts';

const metres = (mm: number): string => decimals(mm / 1000);
const kilos = (mg: number): string => decimals(mg / 1e6);
const decimals = (value: number): string =>
  value.toLocaleString('en-GB', { minimumFractionDigits: 3, maximumFractionDigits: 3 });
const whole = (value: number): string => value.toLocaleString('en-GB');

/** The whole report, ending with a line break. */
export function auditReport(audit: Audit, where: string, seconds: number): string {
  const { counts } = audit;
  const answer =
    audit.faults === 0
      ? 'No fault: every metre and every gram is accounted for.'
      : `${whole(audit.faults)} ${audit.faults === 1 ? 'fault' : 'faults'}: see below.`;
  return `${[
    answer,
    `Looked at ${where} in ${seconds.toFixed(1)} s. Rolls: ${whole(counts.rolls)}; entries: ${whole(counts.entries)}; movements: ${whole(counts.movements)}; changes of status: ${whole(counts.statusChanges)}.`,
    '',
    ...kindTable(audit),
    '',
    ...causeTable(audit),
    '',
    ...audit.rules.flatMap(ruleLines),
  ].join('\n')}\n`;
}

function kindTable({ kinds }: Audit): string[] {
  return table(
    [
      'rolls',
      'many',
      'in (m)',
      'out (m)',
      'loss (m)',
      'left (m)',
      'in (kg)',
      'out (kg)',
      'loss (kg)',
      'left (kg)',
    ],
    kinds.map((k) => [
      k.kind,
      whole(k.rolls),
      ...[k.inMm, 0 - k.outMm, 0 - k.lossMm, k.restMm].map(metres),
      ...[k.inMg, 0 - k.outMg, 0 - k.lossMg, k.restMg].map(kilos),
    ]),
  );
}

function causeTable({ causes }: Audit): string[] {
  return table(
    ['side', 'cause', 'movements', 'm', 'kg'],
    causes.map((c) => [c.side, c.cause, whole(c.movements), metres(c.lengthMm), kilos(c.massMg)]),
  );
}

/** Columns as wide as their longest cell; the first, and texts, to the left. */
function table(heads: string[], rows: string[][]): string[] {
  const lines = [heads, ...rows];
  const widths = heads.map((_head, i) => Math.max(...lines.map((line) => (line[i] as string).length)));
  const isText = heads.map((_head, i) => i === 0 || heads[i] === 'cause');
  return lines.map((line) =>
    line
      .map((cell, i) => (isText[i] ? cell.padEnd(widths[i] as number) : cell.padStart(widths[i] as number)))
      .join('  ')
      .trimEnd(),
  );
}

function ruleLines({ holds, total, faults }: CheckedRule): string[] {
  if (total === 0) return [`ok     ${holds}`];
  const more = total > faults.length ? [`         and ${whole(total - faults.length)} more`] : [];
  return [
    `FAULT  ${holds}: ${whole(total)}`,
    ...faults.map(
      ({ roll, entry, words }) => `         roll ${roll ?? '-'}, entry ${entry ?? '-'}: ${words}`,
    ),
    ...more,
  ];
}
