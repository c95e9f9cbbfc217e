// Takes a multipart/form-data body apart (RFC 7578, RFC 2046 5.1): text fields, and at most one file.
// The body is in memory and bounded already (formBody.ts), so one pass over its bytes is enough.
import { Problem } from './errors.ts';

interface MultipartForm {
  fields: Record<string, string>;
  /** The file that was chosen; undefined when the file field was left empty. */
  file: { name: string; bytes: Buffer } | undefined;
}

const broken = (): Problem =>
  new Problem(400, 'The upload did not arrive completely.', 'Nothing was saved. Send it again.');

const CRLF2 = Buffer.from('\r\n\r\n');
const MAX_PARTS = 50;

function boundaryOf(contentType: string): string {
  const found = /boundary=(?:"([^"]{1,70})"|([^\s;]{1,70}))/i.exec(contentType);
  const boundary = found?.[1] ?? found?.[2];
  if (!boundary) throw broken();
  return boundary;
}

/** The byte ranges between the boundary lines. */
function partsOf(body: Buffer, boundary: string): Buffer[] {
  const line = Buffer.from(`--${boundary}`);
  if (body.indexOf(line) !== 0) throw broken();
  const parts: Buffer[] = [];
  let start = line.length;
  while (body.subarray(start, start + 2).toString('latin1') === '\r\n') {
    const end = body.indexOf(`\r\n--${boundary}`, start + 2);
    if (end < 0 || parts.length >= MAX_PARTS) throw broken();
    parts.push(body.subarray(start + 2, end));
    start = end + 2 + line.length;
  }
  if (body.subarray(start, start + 2).toString('latin1') !== '--') throw broken();
  return parts;
}

const quoted = (head: string, name: string): string | undefined =>
  new RegExp(`[;\\s]${name}="([^"]*)"`, 'i').exec(head)?.[1];

/** Fields and file of a multipart body; throws a Problem when it is not well-formed. */
export function readMultipart(body: Buffer, contentType: string): MultipartForm {
  const form: MultipartForm = { fields: Object.create(null), file: undefined };
  for (const part of partsOf(body, boundaryOf(contentType))) {
    const cut = part.indexOf(CRLF2);
    if (cut < 0) throw broken();
    const head = part.subarray(0, cut).toString('utf8');
    const name = quoted(head, 'name');
    if (name === undefined) throw broken();
    const bytes = part.subarray(cut + CRLF2.length);
    const fileName = quoted(head, 'filename');
    if (fileName === undefined) form.fields[name] = bytes.toString('utf8');
    else if (fileName !== '' || bytes.length > 0) form.file = { name: fileName, bytes };
  }
  return form;
}
