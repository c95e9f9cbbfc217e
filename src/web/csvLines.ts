// Tables that pages offer as CSV files: commas, decimal points, UTF-8 with byte order mark, quoted as RFC 4180 says. A text
// that a spreadsheet would run as a formula gets an apostrophe before it.

type Cell = string | number | null | undefined;

/** The file of a head and its rows. */
export function csvFile(head: readonly string[], rows: readonly (readonly Cell[])[]): string {
  return `\ufeff${[head, ...rows].map((row) => row.map(cellText).join(',')).join('\r\n')}\r\n`;
}

function cellText(cell: Cell): string {
  if (cell === null || cell === undefined) return '';
  if (typeof cell === 'number') return String(Math.round(cell * 1000) / 1000);
  const text = /^'*[=+\-@]/.test(cell) ? `'${cell}` : cell;
  return /[",;\t\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
