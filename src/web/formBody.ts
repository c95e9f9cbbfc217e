// Reads what a form sends, within bounds: fields into req.body, an uploaded file into res.locals.upload.
// A body that is too large is read to its end and thrown away as it comes, never kept, so that the browser
// can show the answer in words instead of a broken connection.
import type { NextFunction, Request, RequestHandler, Response } from 'express';
import express from 'express';
import { Problem } from './errors.ts';
import { readMultipart } from './multipart.ts';
import { changesSomething } from './security.ts';

/** A form's fields together; plans may name thousands of order lines. */
const MAX_FORM_BYTES = 2_000_000;
const MAX_FORM_FIELDS = 30_000;
/** An uploaded file: about 100,000 rolls with their maps. */
export const MAX_UPLOAD_BYTES = 16_000_000;
/** Beyond this nobody waits for the end of an upload: the connection is closed. */
const MAX_THROWN_AWAY_BYTES = 2_000_000_000;

export interface Upload {
  name: string;
  bytes: Buffer;
}

const tooLarge = (): Problem =>
  new Problem(
    413,
    `The file is larger than ${MAX_UPLOAD_BYTES / 1_000_000} MB.`,
    'Nothing was saved. Import it in several parts, each with the line of column names.',
  );

/** Lets the rest of a body pass by without keeping it. */
function throwAway(req: Request): Promise<void> {
  return new Promise((resolve) => {
    let thrown = 0;
    req.on('data', (chunk: Buffer) => {
      thrown += chunk.length;
      if (thrown > MAX_THROWN_AWAY_BYTES) req.destroy();
    });
    req.on('end', resolve);
    req.on('close', resolve);
    req.resume();
  });
}

/** The whole body, at most MAX_UPLOAD_BYTES of it in memory. */
async function bodyOf(req: Request): Promise<Buffer> {
  if (Number(req.headers['content-length'] ?? 0) > MAX_UPLOAD_BYTES) {
    await throwAway(req);
    throw tooLarge();
  }
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of req as AsyncIterable<Buffer>) {
    size += chunk.length;
    if (size <= MAX_UPLOAD_BYTES) chunks.push(chunk);
    else chunks.length = 0;
  }
  if (size > MAX_UPLOAD_BYTES) throw tooLarge();
  return Buffer.concat(chunks);
}

async function readUpload(req: Request, res: Response): Promise<void> {
  const form = readMultipart(await bodyOf(req), String(req.headers['content-type']));
  req.body = form.fields;
  res.locals.upload = form.file;
}

const readFields = express.urlencoded({
  extended: false,
  limit: MAX_FORM_BYTES,
  parameterLimit: MAX_FORM_FIELDS,
});

/** The body reader of the app: plain forms and uploads; anything else is refused unread. */
export const formBody: RequestHandler = async (req: Request, res: Response, next: NextFunction) => {
  if (!changesSomething(req)) return next();
  if (req.is('multipart/form-data')) {
    await readUpload(req, res);
    return next();
  }
  const empty = req.headers['content-length'] === '0' || !req.headers['content-type'];
  if (empty || req.is('application/x-www-form-urlencoded')) return readFields(req, res, next);
  await throwAway(req);
  throw new Problem(415, 'A form is sent as form fields or as a file upload.', 'Use the form on its page.');
};
