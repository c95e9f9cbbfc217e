// Files between their preview and the reader's word to import them: kept in memory for half an hour, for the visit
// that brought them, bounded in number and size. When one is gone the reader is asked to choose the file again.
import { randomUUID } from 'node:crypto';
import type { ResourceName } from '../domain/resource.ts';

const KEEP_MS = 30 * 60_000;
const MOST_BYTES = 64_000_000;

interface Waiting {
  visit: string;
  resource: ResourceName;
  name: string;
  bytes: Buffer;
  since: number;
}

const waiting = new Map<string, Waiting>();

/** Drops what is too old, then the oldest ones until `more` bytes have room. */
function makeRoom(more: number, now: number): void {
  let size = more;
  for (const one of waiting.values()) size += one.bytes.length;
  for (const [ticket, one] of waiting) {
    if (size <= MOST_BYTES && now - one.since < KEEP_MS) continue;
    waiting.delete(ticket);
    size -= one.bytes.length;
  }
}

/** Keeps a file and returns the ticket under which its visit gets it back. */
export function keepUpload(file: Omit<Waiting, 'since'>): string {
  const now = Date.now();
  makeRoom(file.bytes.length, now);
  const ticket = randomUUID();
  waiting.set(ticket, { ...file, since: now });
  return ticket;
}

/** The file of a ticket; undefined when it is gone, or was brought by another visit or for another resource. */
export function keptUpload(ticket: string, visit: string, resource: ResourceName): Waiting | undefined {
  const found = waiting.get(ticket);
  if (!found || found.visit !== visit || found.resource !== resource) return undefined;
  return Date.now() - found.since < KEEP_MS ? found : undefined;
}

/** Forgets a file that was imported. */
export function forgetUpload(ticket: string): void {
  waiting.delete(ticket);
}
