// The page of a release: how far its runs are, the rolls it holds, what was recorded, and taking back what is not begun.
import type { Request, RequestHandler, Response } from 'express';
import { mmToM } from '../../domain/units.ts';
import { type ReleaseSeen, readRelease } from '../../usecases/machine/readRelease.ts';
import { withdrawRuns } from '../../usecases/machine/withdrawRuns.ts';
import { showPage } from '../page.ts';
import { clockTime, manyOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count, grouped, rowHref } from '../words.ts';
import { recordedRows } from './recordedRows.ts';
import { metres, numberInAddress, reasonOf, runRow, unfitOf } from './releaseForms.ts';

interface Typed {
  act: ActForm & { fault?: string };
  runs: number[];
  reason: string;
  wrong: string[];
}

/** GET /releases/:id */
export function releasePage(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req), runs: [], reason: '', wrong: [] });
}

/** POST /releases/:id/withdraw */
export function withdrawRunsPost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = numberInAddress(req.params.id, 'release');
    const act = readAct(req, res);
    const runs = manyOf(req.body?.run).map(Number);
    const reason = reasonOf(req.body?.reason);
    const wrong = [
      ...(runs.length === 0 ? ['no run is ticked; tick the runs to take back'] : []),
      ...(reason === '' ? ['the reason is missing; say why they are taken back'] : []),
    ];
    if (act.fault || wrong.length > 0) return show(services, req, res, { act, runs, reason, wrong });
    await withdrawRuns(services.db, id, { by: act.by, requestKey: act.requestKey, runs, reason });
    res.redirect(303, `/releases/${id}`);
  };
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const seen = await readRelease(services.db, numberInAddress(req.params.id, 'release'));
  const { release } = seen;
  const rolls = rollRows(seen, services.today());
  const waiting = seen.runs.filter(({ status }) => status === 'waiting').length;
  const model = {
    title: `Release ${release.id}`,
    under: '/machine',
    release,
    at: clockTime(release.at),
    answer: answerOf(seen),
    runs: seen.runs.map((run) => ({ ...runRow(run), ticked: typed.runs.includes(run.sequence) })),
    waiting,
    rolls,
    stopped: rolls.filter(({ unfit }) => unfit),
    recorded: recordedRows(seen).slice(0, 60),
    rest: restHref(seen),
    reason: typed.reason,
    wrong: typed.wrong,
    act: typed.act,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'releases/release', model, typed.wrong.length > 0 || typed.act.fault ? 422 : 200);
}

function answerOf({ release, runs, made }: ReleaseSeen): string {
  const cut = runs.reduce((sum, run) => sum + run.setsCut, 0);
  const planned = runs
    .filter((run) => run.status !== 'withdrawn')
    .reduce((sum, run) => sum + run.setsPlanned, 0);
  const good = made.filter(({ status }) => status === 'released' || status === 'dispatched').length;
  const held = made.filter(({ status }) => status === 'on hold').length;
  const onHold = held > 0 ? `, ${grouped(held)} on hold` : '';
  const rolls = `${count(good, 'finished roll')} made${onHold}`;
  if (release.status === 'withdrawn') return 'It was withdrawn before anything was cut.';
  if (release.status === 'finished') return `It is finished: ${count(cut, 'set')} cut, ${rolls}.`;
  return `${grouped(cut)} of ${count(planned, 'set')} cut, ${rolls}.`;
}

function rollRows({ rolls, runs }: ReleaseSeen, today: string) {
  return rolls.map(({ code, row, releasedMm, usedMm, active }) => ({
    code,
    href: rowHref('rolls', code),
    location: String(row.location ?? ''),
    runs: runs
      .filter(({ run }) => run.from.some(({ roll }) => roll === code))
      .map(({ sequence }) => sequence)
      .join(', '),
    releasedM: metres(releasedMm),
    usedM: metres(usedMm),
    nowM: grouped(mmToM(row.lengthMm as number), 1),
    words: active
      ? 'at the machine'
      : row.status === 'used up'
        ? 'used up'
        : `off the machine, ${String(row.kind)}`,
    unfit: active ? unfitOf(row, today) : '',
  }));
}

/** Planning what withdrawn and closed runs have not made: their orders, ticked. */
function restHref({ runs }: ReleaseSeen): string {
  const left = runs.filter(
    ({ status, setsCut, setsPlanned }) =>
      status === 'withdrawn' || (status === 'done' && setsCut < setsPlanned),
  );
  const orders = new Set(
    left.flatMap(({ run }) => run.strips.flatMap(({ order }) => (order ? [order] : []))),
  );
  if (orders.size === 0) return '';
  return `/plans?${new URLSearchParams([...orders].slice(0, 50).map((order): [string, string] => ['order', order]))}`;
}
