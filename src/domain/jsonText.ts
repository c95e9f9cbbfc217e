// Reads a JSON text from a file or a form and says where it is broken: encoding, size, syntax with line and column.
// Node's own message leaves the position out for an unexpected token, so the place is found by bisection.

/** One thing wrong with a document: where (a JSON path), what is wrong, what would be right. */
export interface Fault {
  path: string;
  wrong: string;
  right: string;
}

export const LARGEST_TEXT_BYTES = 20 * 1024 * 1024;

type Read = { ok: true; value: unknown } | { ok: false; faults: Fault[] };

const fault = (wrong: string, right: string): Read => ({ ok: false, faults: [{ path: '$', wrong, right }] });

/** Parses bytes or text as one JSON value; bytes must be UTF-8, with or without a byte order mark. */
export function readJson(input: string | Uint8Array): Read {
  if (input.length > LARGEST_TEXT_BYTES) {
    const megabytes = (input.length / 1024 / 1024).toFixed(1);
    return fault(`the file has ${megabytes} MB`, 'at most 20 MB');
  }
  const text = typeof input === 'string' ? input.replace(/^\ufeff/, '') : decode(input);
  if (text === undefined) return fault('the file is not UTF-8 text', 'JSON saved as UTF-8');
  if (text.trim() === '') return fault('the file is empty', 'one JSON object');
  try {
    return { ok: true, value: JSON.parse(text) };
  } catch (error) {
    return fault(
      `not JSON: ${where(text, error as SyntaxError)}`,
      'one JSON object: names and texts in double quotes, commas between the fields, none after the last',
    );
  }
}

function decode(bytes: Uint8Array): string | undefined {
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return text.includes('\u0000') ? undefined : text;
  } catch {
    return undefined;
  }
}

function where(text: string, error: SyntaxError): string {
  const named = /at position (\d+)/.exec(error.message);
  const atEnd = error.message.startsWith('Unexpected end');
  const position = named ? Number(named[1]) : atEnd ? text.length : unexpectedTokenAt(text);
  const before = text.slice(0, position).split('\n');
  const place = `line ${before.length}, column ${(before.at(-1) ?? '').length + 1}`;
  if (position >= text.length) return `it ends too early, at ${place}`;
  return `unexpected ${JSON.stringify(text[position])} at ${place}`;
}

/** The shortest prefix that holds an unexpected token ends with it. */
function unexpectedTokenAt(text: string): number {
  let good = 0;
  let bad = text.length;
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (isBrokenPrefix(text.slice(0, middle))) bad = middle;
    else good = middle;
  }
  return bad - 1;
}

function isBrokenPrefix(prefix: string): boolean {
  try {
    JSON.parse(prefix);
    return false;
  } catch (error) {
    return (error as SyntaxError).message.startsWith('Unexpected token');
  }
}
