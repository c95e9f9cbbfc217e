// Who is asking, and what they may do. There are no accounts yet: the server listens on this machine only,
// so whoever reaches it is the plant. This file is the one place where accounts and roles come in:
// read the session here, return the person, and every form and page already asks through `whoIsAsking`.
import type { Request } from 'express';

/** Planner, purchaser and sales are the three users; `plant` may do everything (until there are accounts). */
export type Role = 'plant' | 'planner' | 'purchaser' | 'sales';

export interface Person {
  name: string;
  role: Role;
}

/** The person behind a request. Without accounts always the plant itself. */
export function whoIsAsking(_req: Request): Person {
  return { name: 'this computer', role: 'plant' };
}

/** May this person change what the plant has and owes? Reading needs no permission. */
export function mayChange(person: Person): boolean {
  return person.role === 'plant' || person.role === 'planner';
}
