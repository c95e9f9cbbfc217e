// The run card: everything that the operator of a slitter needs for one run, for the screen and for paper. Positions are
// mm from the datum edge, metres those of the counter, from the roll's outer end as it was released.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import { type ReleasedRun, type ReleaseSeen, readRelease } from '../../usecases/machine/readRelease.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { numberInAddress } from './releaseForms.ts';
import { cardOf } from './runCardModel.ts';

/** GET /releases/:id/card: the cards of all runs that are not withdrawn, in their order. */
export function cardsPage(services: Services): RequestHandler {
  return async (req, res) => {
    const seen = await readRelease(services.db, numberInAddress(req.params.id, 'release'));
    const runs = seen.runs.filter(({ status }) => status !== 'withdrawn');
    showCards(seen, runs, services, `Run cards of release ${seen.release.id}`, req, res);
  };
}

/** GET /releases/:id/runs/:run/card */
export function cardPage(services: Services): RequestHandler {
  return async (req, res) => {
    const seen = await readRelease(services.db, numberInAddress(req.params.id, 'release'));
    const run = runOfRelease(seen, req.params.run);
    showCards(seen, [run], services, `Run card ${seen.release.id}/${run.sequence}`, req, res);
  };
}

/** The run of an address. Throws a Refusal when it was never released. */
export function runOfRelease(seen: ReleaseSeen, text: unknown): ReleasedRun {
  const number = numberInAddress(text, 'run');
  const run = seen.runs.find(({ sequence }) => sequence === number);
  if (!run) throw new Refusal('run-not-released', { release: seen.release.id, run: number });
  return run;
}

function showCards(
  seen: ReleaseSeen,
  runs: readonly ReleasedRun[],
  { liftLimitKg, today }: Services,
  title: string,
  req: Request,
  res: Response,
): void {
  const cards = runs.map((run) => cardOf(seen, run, liftLimitKg, today()));
  showPage(req, res, 'releases/card', {
    title,
    under: '/machine',
    release: seen.release,
    cards,
    liftLimitKg,
  });
}
