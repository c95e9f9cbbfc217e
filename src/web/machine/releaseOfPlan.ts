// Releasing a plan to the machine: which runs can go, what stands against the others, and the form that sends them.
import type { Request, RequestHandler, Response } from 'express';
import { type ReleaseFault, releaseOutlook, releasePlan } from '../../usecases/machine/releasePlan.ts';
import { readFinishedPlan } from '../../usecases/planning/readPlan.ts';
import { showPage } from '../page.ts';
import { manyOf, planNumber } from '../plans/planForms.ts';
import { runRows } from '../plans/planTables.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count } from '../words.ts';

interface Typed {
  act: ActForm & { fault?: string };
  /** Runs ticked; undefined: all that can go. */
  runs?: number[];
  faults: ReleaseFault[];
}

/** GET /plans/:id/release */
export function releaseForm(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req), faults: [] });
}

/** POST /plans/:id/release */
export function releasePost(services: Services): RequestHandler {
  return async (req, res) => {
    const act = readAct(req, res);
    const runs = manyOf(req.body?.run).map(Number);
    if (act.fault) return show(services, req, res, { act, runs, faults: [] });
    const { by, requestKey } = act;
    const id = planNumber(req.params.id);
    const released = await releasePlan(services.db, id, { by, requestKey, runs, today: services.today() });
    if (!released.ok) return show(services, req, res, { act, runs, faults: released.faults });
    res.redirect(303, `/releases/${released.id}`);
  };
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const stored = await readFinishedPlan(services.db, planNumber(req.params.id));
  const { hindrances, faults } = await releaseOutlook(services.db, stored.id, services.today());
  const runs = runRows(stored.plan).map((run) => ({
    ...run,
    why: hindrances.get(run.sequence) ?? '',
    ticked: typed.runs ? typed.runs.includes(run.sequence) : !hindrances.has(run.sequence),
  }));
  const free = runs.filter(({ why }) => why === '').length;
  const wrong = typed.faults.length > 0 || typed.act.fault !== undefined;
  const model = {
    title: `Release plan ${stored.id} to the machine`,
    under: '/plans',
    stored,
    runs,
    free,
    answer: answerOf(free, runs.length, faults),
    outlook: typed.faults.length > 0 ? [] : faults,
    faults: typed.faults,
    act: typed.act,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'releases/form', model, wrong ? 422 : 200);
}

function answerOf(free: number, all: number, faults: readonly ReleaseFault[]): string {
  if (all === 0) return 'This plan has no runs, so there is nothing to release.';
  if (free === 0) return 'No run of this plan can be released now; the table says why.';
  const many = free === all ? `All ${count(all, 'run')}` : `${free} of ${count(all, 'run')}`;
  if (faults.length > 0)
    return `The stock or the orders have changed since this plan was made, so not all of it can be released as it is.`;
  return `${many} can be released now: the rolls are in stock, released, and as they were when the plan was made.`;
}
