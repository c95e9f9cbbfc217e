// What was recorded under a release, newest first, as lines for tables: the undone ones too, since nothing is deleted.
import type { ReleaseSeen } from '../../usecases/machine/readRelease.ts';
import { clockTime } from '../plans/planForms.ts';
import { count, rowHref } from '../words.ts';
import { metres } from './releaseForms.ts';

export function recordedRows(seen: ReleaseSeen, sequence?: number) {
  const latest = new Map<string, number>();
  for (const one of seen.recordings) if (one.undoneBy === null) latest.set(one.roll, one.entry);
  return seen.recordings
    .filter((one) => sequence === undefined || one.sequence === sequence || isEndOf(seen, one, sequence))
    .map((one) => {
      const made = seen.made.filter(({ entry }) => entry === one.entry);
      const held = made.filter(({ status }) => status === 'on hold').length;
      return {
        entry: one.entry,
        at: clockTime(one.at),
        by: one.by,
        run: one.sequence ?? '',
        roll: one.roll,
        what: { set: 'set', 'lost set': 'set, nothing good', end: 'end of the roll' }[one.what],
        usedM: metres(one.usedMm),
        made: made.map(({ code, status, order }) => ({
          code,
          status,
          order: order ?? 'for the shelf',
          href: rowHref('rolls', code),
        })),
        madeWords:
          one.what === 'end' ? '' : `${count(made.length, 'roll')}${held > 0 ? `, ${held} on hold` : ''}`,
        undone: one.undoneBy !== null,
        latest: latest.get(one.roll) === one.entry,
      };
    })
    .reverse();
}

const isEndOf = ({ runs }: ReleaseSeen, one: { what: string; roll: string }, sequence: number): boolean =>
  one.what === 'end' &&
  runs.some((run) => run.sequence === sequence && run.run.from.some(({ roll }) => roll === one.roll));
