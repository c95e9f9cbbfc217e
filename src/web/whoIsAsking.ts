// Who is asking, and what they may do. There are no accounts yet: the server listens on this machine only,
// so whoever reaches it is the plant. This file is the one place where accounts and roles come in: read the
// session in `whoIsAsking`, and every request that changes something is already asked whether it may.
// What goes into the ledger carries a name: forms that write there ask for it (views/_act.ejs), and the browser keeps it.
import { randomUUID } from 'node:crypto';
import type { Request, RequestHandler, Response } from 'express';
import { cookiesOf } from './cookies.ts';
import { Problem } from './errors.ts';
import { changesSomething } from './security.ts';

interface Person {
  name: string;
  /** Planner, purchaser and sales are the three users; `plant` may do everything, until there are accounts. */
  role: 'plant' | 'planner' | 'purchaser' | 'sales';
}

const NAME_COOKIE = 'lanewright_name';
const LONGEST_NAME = 60;
const YEAR_MS = 365 * 86_400_000;

/** The name that was last given in this browser; empty when none was. */
function nameGiven(req: Request): string {
  try {
    return decodeURIComponent(cookiesOf(req, NAME_COOKIE)[0] ?? '')
      .trim()
      .slice(0, LONGEST_NAME);
  } catch {
    return '';
  }
}

/** The person behind a request. Without accounts whoever it is acts for the plant, under the name that was given. */
function whoIsAsking(req: Request): Person {
  return { name: nameGiven(req) || 'this computer', role: 'plant' };
}

/** Who writes into the ledger. */
export const nameOf = (req: Request): string => whoIsAsking(req).name;

/** What views/_act.ejs needs: the name, and a key by which one form is entered once however often it is sent. */
export interface ActForm {
  by: string;
  requestKey: string;
}

/** For a form that is shown first. */
export const newAct = (req: Request): ActForm => ({ by: nameGiven(req), requestKey: randomUUID() });

/** What was sent: `fault` in words when the name is missing or the key is not one; keeps the name in the browser. */
export function readAct(req: Request, res: Response): ActForm & { fault?: string } {
  const { by, requestKey } = (req.body ?? {}) as Record<string, unknown>;
  const name = typeof by === 'string' ? by.trim().slice(0, LONGEST_NAME) : '';
  const key = typeof requestKey === 'string' && /^[\w-]{8,80}$/.test(requestKey) ? requestKey : randomUUID();
  if (name === '') return { by: '', requestKey: key, fault: 'Give your name: the ledger says who did what.' };
  res.cookie(NAME_COOKIE, encodeURIComponent(name), {
    httpOnly: true,
    sameSite: 'lax',
    path: '/',
    maxAge: YEAR_MS,
    encode: String,
  });
  return { by: name, requestKey: key };
}

/** May this person change what the plant has and owes? Reading needs no permission. */
function mayChange(person: Person): boolean {
  return person.role !== 'sales';
}

/** Lets only those change something who may. */
export const onlyWhoMayChange: RequestHandler = (req, _res, next) => {
  const person = whoIsAsking(req);
  if (changesSomething(req) && !mayChange(person))
    throw new Problem(403, `${person.name} may look but not change this.`, 'Ask a planner to do it.');
  next();
};
