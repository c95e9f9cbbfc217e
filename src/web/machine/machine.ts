// What is at the machines now: for each slitter the run that is being cut, what comes next, and how far its releases are.
// The page looks again by itself every ten seconds; without script it is loaded anew.
import type { RequestHandler } from 'express';
import { whyNotRun } from '../../domain/rollDecision.ts';
import type { IsoDate } from '../../domain/units.ts';
import {
  listReleases,
  type ReleaseHead,
  type RollOnSlitter,
  rollsAtMachines,
} from '../../usecases/machine/readRelease.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { count, rowHref } from '../words.ts';
import { metres, runRow } from './releaseForms.ts';

/** So many runs are named that come next; the release has them all. */
const MOST_NEXT = 5;
const NEWEST = 8;

/** GET /machine */
export function machinePage(services: Services): RequestHandler {
  return async (req, res) => {
    const open = await listReleases(services.db, 'at the machine');
    const ended = (await listReleases(services.db, { newest: NEWEST })).filter(
      ({ status }) => status !== 'at the machine',
    );
    const machines = machinesOf(open, await rollsAtMachines(services.db), services.today());
    showPage(req, res, 'machine', {
      title: 'At the machine',
      scripts: ['machine.js'],
      refreshSeconds: 10,
      answer: answerOf(machines),
      machines,
      ended: ended.map((release) => ({
        id: release.id,
        plan: release.plan,
        at: clockTime(release.at),
        by: release.by,
        words: `${release.status}, ${count(
          release.runs.reduce((sum, run) => sum + run.setsCut, 0),
          'set',
        )} cut`,
      })),
    });
  };
}

type Machine = ReturnType<typeof machinesOf>[number];

/** One entry for each slitter with something to do; runs in the order of their releases. */
function machinesOf(releases: readonly ReleaseHead[], rolls: readonly RollOnSlitter[], today: string) {
  const runs = releases.flatMap((release) => release.runs);
  const names = [...new Set(runs.map(({ slitter }) => slitter))].sort();
  return names.map((slitter) => {
    const own = runs.filter((run) => run.slitter === slitter && run.status !== 'withdrawn').map(runRow);
    const waiting = own.filter(({ status }) => status === 'waiting');
    const cut = own.reduce((sum, run) => sum + run.cut, 0);
    const planned = own.reduce((sum, run) => sum + run.sets, 0);
    const here = rolls.filter((roll) => roll.slitter === slitter);
    return {
      slitter,
      stopped: here.flatMap((roll) => {
        const why = whyNotRun({ status: roll.status, useBy: roll.useBy as IsoDate | null }, today);
        return why ? [{ ...rollRow(roll), why }] : [];
      }),
      cutOut: here.filter(({ wanted }) => !wanted).map(rollRow),
      now: own.filter(({ status }) => status === 'being cut'),
      next: waiting.slice(0, MOST_NEXT),
      later: Math.max(0, waiting.length - MOST_NEXT),
      done: own.filter(({ open }) => !open).length,
      runs: own.length,
      cut,
      planned,
      width: planned === 0 ? 0 : Math.round((240 * Math.min(cut, planned)) / planned),
    };
  });
}

const rollRow = ({ roll, release, sequence, lengthMm }: RollOnSlitter) => ({
  roll,
  release,
  href: rowHref('rolls', roll),
  recordHref: `/releases/${release}/runs/${sequence}/record`,
  leftM: metres(lengthMm),
});

function answerOf(machines: readonly Machine[]): string {
  if (machines.length === 0)
    return 'Nothing is released to a machine. Open a plan and release it; its run cards and what is recorded then show here.';
  const cutting = machines.filter(({ now }) => now.length > 0).map(({ slitter }) => slitter);
  const waiting = machines.reduce((sum, { next, later }) => sum + next.length + later, 0);
  const now =
    cutting.length === 0
      ? 'Nothing is being cut'
      : `${cutting.join(' and ')} ${cutting.length === 1 ? 'is' : 'are'} cutting`;
  return `${now}; ${count(waiting, 'run waits', 'runs wait')}.`;
}
