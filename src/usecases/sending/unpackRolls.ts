// Takes rolls out of a package that has not left, or undoes the whole package. The rolls stay in the house as they were.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { endPackages, findPackages, rollsIn, rollsToPack, takeOut } from '../../store/packages.ts';
import { enterOnce } from '../enterOnce.ts';
import type { Act } from '../machine/releasePlan.ts';

export interface Unpacking extends Act {
  sscc: string;
  /** Undefined: all of it, and the package is undone. */
  rolls?: readonly string[] | undefined;
  reason?: string | undefined;
}

/** Refuses with not-found, package-closed or roll-not-in-package. */
export async function unpackRolls(db: Knex, unpacking: Unpacking): Promise<void> {
  const { by, requestKey, reason, sscc } = unpacking;
  await enterOnce(
    db,
    { kind: 'unpacked', by, requestKey, reason, details: { package: sscc } },
    (trx, entry) => unpack(trx, entry, unpacking),
  );
}

async function unpack(trx: Knex, entry: number, { sscc, rolls }: Unpacking): Promise<undefined> {
  const [found] = await findPackages(trx, [sscc], 'lock');
  if (!found) throw new Refusal('not-found', { what: 'package', code: sscc });
  if (found.status !== 'open') throw new Refusal('package-closed', { package: sscc, status: found.status });
  const inside = (await rollsIn(trx, [sscc])).map(({ code }) => code);
  const asked = rolls ?? inside;
  const stranger = asked.find((code) => !inside.includes(code));
  if (stranger !== undefined) throw new Refusal('roll-not-in-package', { roll: stranger, package: sscc });
  await rollsToPack(trx, asked, 'lock');
  await takeOut(trx, asked, entry);
  if (new Set(asked).size === inside.length) await endPackages(trx, [sscc], 'undone', entry);
}
