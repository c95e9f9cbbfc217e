// A plan from a problem file: uploaded or pasted, read strictly. Every fault is shown with its place in the file;
// what was pasted stays. A file of another program or by hand is as good as one downloaded here.
import type { RequestHandler } from 'express';
import { SECONDS_MOST, SECONDS_USUAL } from '../../usecases/planning/queuePlan.ts';
import { requestPlanFromFile } from '../../usecases/planning/requestPlan.ts';
import type { Upload } from '../formBody.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { oneOf } from './planForms.ts';

/** More faults than this are counted, not listed: nobody reads on. */
const MOST_SHOWN = 200;
const EMPTY = {
  title: 'Plan from a file',
  text: '',
  seconds: '',
  secondsUsual: SECONDS_USUAL,
  secondsMost: SECONDS_MOST,
  faults: [] as object[],
  secondsFault: undefined as object | undefined,
  more: 0,
  name: '',
};

/** GET /plans/file */
export const filePage: RequestHandler = (req, res) => showPage(req, res, 'plans/file', EMPTY);

/** POST /plans/file: queues the problem of the file, or shows its faults (422). */
export function planFromFile(services: Services): RequestHandler {
  return async (req, res) => {
    const upload = res.locals.upload as Upload | undefined;
    const text = oneOf(req.body?.text);
    const seconds = oneOf(req.body?.seconds);
    const uploaded = upload !== undefined && upload.name !== '';
    const asked = await requestPlanFromFile(services.db, uploaded ? upload.bytes : text, seconds);
    if (asked.ok) {
      services.jobs.wake();
      return res.redirect(303, `/plans/${asked.id}`);
    }
    const model = {
      ...EMPTY,
      text,
      seconds,
      name: uploaded ? upload.name : '',
      faults: asked.fileFaults.slice(0, MOST_SHOWN),
      more: Math.max(0, asked.fileFaults.length - MOST_SHOWN),
      secondsFault: asked.faults[0],
    };
    showPage(req, res, 'plans/file', model, 422);
  };
}
