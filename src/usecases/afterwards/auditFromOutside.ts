// The audit as a command of its own: opens the plant's database beside whoever works on it, audits, closes.
import type { Settings } from '../../settings.ts';
import { openToLook } from '../../store/database.ts';
import { type Audit, auditStock } from './auditStock.ts';

/** Throws a Refusal with words when there is no database to look at. */
export async function auditFromOutside(
  settings: Settings,
  most: number,
): Promise<{ where: string; audit: Audit }> {
  const { db, where, close } = await openToLook(settings);
  try {
    return { where, audit: await auditStock(db, most) };
  } finally {
    await close();
  }
}
