// The walls around every request: which host names we answer to (DNS rebinding), which pages may send us forms,
// what the browser may load (a strict content policy without inline script or style), and how often one may ask.
import type { Request, RequestHandler } from 'express';
import { rateLimit } from 'express-rate-limit';
import helmet from 'helmet';
import { Problem } from './errors.ts';

const LOOPBACK = new Set(['localhost', '127.0.0.1', '[::1]']);

/**
 * Headers for every answer. No defaults: helmet's own policy upgrades to https, which a plain-http plant
 * cannot serve; same reason for no Strict-Transport-Security.
 */
export const headers: RequestHandler = helmet({
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      imgSrc: ["'self'"],
      connectSrc: ["'self'"],
      formAction: ["'self'"],
      baseUri: ["'none'"],
      frameAncestors: ["'none'"],
    },
  },
  strictTransportSecurity: false,
  referrerPolicy: { policy: 'same-origin' },
});

const hostName = (host: string): string => host.replace(/:\d+$/, '').toLowerCase();

/**
 * Answers only to the loopback names: a web page elsewhere that points its own name at 127.0.0.1
 * must not read the plant's data through the reader's browser.
 */
export const onlyLoopback: RequestHandler = (req, _res, next) => {
  if (!LOOPBACK.has(hostName(req.headers.host ?? '')))
    throw new Problem(
      403,
      'This server does not answer to the name you used.',
      'Open it as http://localhost or http://127.0.0.1 with its port.',
    );
  next();
};

const SAFE = new Set(['GET', 'HEAD', 'OPTIONS']);
export const changesSomething = (req: Request): boolean => !SAFE.has(req.method);

/** Refuses, before the body is read, a form that the browser says comes from another site. */
export const onlyOwnPages: RequestHandler = (req, _res, next) => {
  const site = req.headers['sec-fetch-site'];
  const { origin, host } = req.headers;
  const foreign =
    (site !== undefined && site !== 'same-origin') ||
    (origin !== undefined && origin !== `http://${host}` && origin !== `https://${host}`);
  if (changesSomething(req) && foreign) throw formFromElsewhere();
  next();
};

/** The refusal for a form that was not made by a page of ours, or by one from before a restart. */
export function formFromElsewhere(): Problem {
  return new Problem(
    403,
    'The form was not accepted, and nothing was saved: it does not come from a page opened since the program started.',
    'Go back, copy what you typed, load the page anew and send it again.',
  );
}

/** At most `perMinute` requests from one address; the rest is told to wait. */
export function notTooFast(perMinute: number): RequestHandler {
  return rateLimit({
    windowMs: 60_000,
    limit: perMinute,
    standardHeaders: 'draft-8',
    legacyHeaders: false,
    handler: (_req, _res, next) =>
      next(new Problem(429, 'Too many requests in one minute.', 'Wait a minute, then go on.')),
  });
}
