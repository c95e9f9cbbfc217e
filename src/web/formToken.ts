// A form is accepted only with the token that its page was given: a keyed hash of the visit cookie
// (signed double submit). Another site can neither read the token nor make one without the key.
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import type { Request, RequestHandler } from 'express';
import { cookiesOf } from './cookies.ts';
import { changesSomething, formFromElsewhere } from './security.ts';

const COOKIE = 'lanewright_visit';
const VISIT = /^[\w-]{32}$/;

/** The value of the visit cookie of a request, when it has a well-formed one. */
const visitOf = (req: Request): string | undefined =>
  cookiesOf(req, COOKIE).find((value) => VISIT.test(value));

const same = (a: string, b: string): boolean =>
  a.length === b.length && timingSafeEqual(Buffer.from(a), Buffer.from(b));

/** Gives each page its token (`res.locals.token`) and each new visitor a cookie. */
export function giveToken(key: Buffer): RequestHandler {
  return (req, res, next) => {
    const known = visitOf(req);
    const visit = known ?? randomBytes(24).toString('base64url');
    if (!known) res.cookie(COOKIE, visit, { httpOnly: true, sameSite: 'lax', path: '/' });
    res.locals.visit = visit;
    res.locals.token = createHmac('sha256', key).update(visit).digest('base64url');
    next();
  };
}

/** Refuses a form without its token; runs after the body is read, and takes the token out of it. */
export const askToken: RequestHandler = (req, res, next) => {
  if (changesSomething(req)) {
    const { _token: given, ...fields } = (req.body ?? {}) as Record<string, unknown>;
    const token = typeof given === 'string' ? given : (req.get('x-form-token') ?? '');
    if (!same(token, String(res.locals.token))) throw formFromElsewhere();
    req.body = fields;
  }
  next();
};
