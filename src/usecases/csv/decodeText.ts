// Bytes of a spreadsheet's text file to text: UTF-8 and UTF-16 with or without byte order mark, else Windows-1252.
// What cannot be text is refused with what it seems to be, because a wrong guess would store nonsense names.

export type Decoded = { ok: true; text: string } | { ok: false; wrong: string; right: string };

const AS_CSV = 'a text file: in the spreadsheet choose "save as" and then CSV (UTF-8)';
/** Bytes that Windows-1252 leaves undefined, and control characters other than tab, line feed, form feed, return. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
const NOT_TEXT = /[\u0000-\u0008\u000b\u000e-\u001f\u007f\u0081\u008d\u008f\u0090\u009d]/;

/** Never throws. */
export function decodeText(bytes: Buffer): Decoded {
  if (bytes.length === 0)
    return { ok: false, wrong: 'the file is empty', right: 'a table with a line of column names' };
  const seems = knownFormat(bytes);
  if (seems) return { ok: false, wrong: `the file is ${seems}, not text`, right: AS_CSV };
  const utf16 = utf16Order(bytes);
  if (utf16) return checked(new TextDecoder(utf16).decode(bytes));
  try {
    return checked(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    return checked(new TextDecoder('windows-1252').decode(bytes));
  }
}

function checked(text: string): Decoded {
  const at = text.search(NOT_TEXT);
  if (at < 0 && !text.includes('\ufffd')) return { ok: true, text };
  const line = text.slice(0, Math.max(at, 0)).split(/\r\n|\r|\n/).length;
  return { ok: false, wrong: `the file is not readable as text from line ${line} on`, right: AS_CSV };
}

function knownFormat(bytes: Buffer): string | undefined {
  const head = bytes.subarray(0, 4).toString('latin1');
  if (head.startsWith('PK')) return 'a workbook or a zip archive';
  if (head === '\u00d0\u00cf\u0011\u00e0') return 'an old workbook';
  if (head === '%PDF') return 'a PDF document';
  return undefined;
}

/** UTF-16 by its byte order mark, or because nearly every other byte of the first ones is zero. */
function utf16Order(bytes: Buffer): 'utf-16le' | 'utf-16be' | undefined {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  const head = bytes.subarray(0, 400);
  const zeros = [0, 0];
  head.forEach((byte, at) => {
    if (byte === 0) zeros[at % 2] = (zeros[at % 2] as number) + 1;
  });
  const most = head.length / 2;
  if ((zeros[1] as number) > 0.8 * most && zeros[0] === 0) return 'utf-16le';
  if ((zeros[0] as number) > 0.8 * most && zeros[1] === 0) return 'utf-16be';
  return undefined;
}
