// Who is asking, and what they may do. There are no accounts yet: the server listens on this machine only,
// so whoever reaches it is the plant. This file is the one place where accounts and roles come in: read the
// session in `whoIsAsking`, and every request that changes something is already asked whether it may.
import type { Request, RequestHandler } from 'express';
import { Problem } from './errors.ts';
import { changesSomething } from './security.ts';

interface Person {
  name: string;
  /** Planner, purchaser and sales are the three users; `plant` may do everything, until there are accounts. */
  role: 'plant' | 'planner' | 'purchaser' | 'sales';
}

/** The person behind a request. Without accounts always the plant itself. */
function whoIsAsking(_req: Request): Person {
  return { name: 'this computer', role: 'plant' };
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
