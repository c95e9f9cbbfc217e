// Live progress of a plan as server-sent events: "progress" with words and figures, "first" when there is a plan that may
// be taken, "ended" once. The page's script
// only shows what comes; without script the page reloads itself. no-transform keeps compression from holding events back.
import type { RequestHandler } from 'express';
import type { Plan } from '../../domain/plan.ts';
import { readPlan } from '../../usecases/planning/readPlan.ts';
import type { Services } from '../services.ts';
import { planNumber } from './planForms.ts';
import { firstWords, progressWords } from './planWords.ts';

/** So that the seconds move, and a broken connection shows. */
const BEAT_MS = 1000;
const STREAM = {
  'Content-Type': 'text/event-stream',
  'Cache-Control': 'no-cache, no-transform',
  'X-Accel-Buffering': 'no',
};

/** GET /plans/:id/progress */
export function progressStream(services: Services): RequestHandler {
  return async (req, res) => {
    const { jobs, db } = services;
    const id = planNumber(req.params.id);
    let startedAt = (await readPlan(db, id)).startedAt?.getTime();
    res.set(STREAM);
    res.flushHeaders();

    const send = (event: string, data: object) =>
      res.write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`);
    const tell = () => {
      const progress = jobs.progressOf(id);
      if (progress) startedAt ??= Date.now();
      const seconds = startedAt === undefined ? 0 : Math.round((Date.now() - startedAt) / 1000);
      const figures = { bound: progress?.boundCost ?? null, best: progress?.bestCost ?? null, seconds };
      send('progress', { ...progressWords(progress), ...figures });
    };
    const finish = () => {
      stop();
      send('ended', { id });
      res.end();
    };
    const offer = (plan: Plan) => send('first', { words: firstWords(plan) });
    const leave = jobs.subscribe(id, (news) => {
      if (news.kind === 'ended') finish();
      else if (news.kind === 'first') offer(news.plan);
      else tell();
    });
    const beat = setInterval(tell, BEAT_MS);
    const stop = () => {
      leave();
      clearInterval(beat);
    };
    res.on('close', stop);

    // Looked at again now that we listen: an end in between must not be missed.
    const { status, firstPlan } = await readPlan(db, id);
    if (res.writableEnded) return;
    if (status !== 'queued' && status !== 'running') return finish();
    tell();
    if (firstPlan) offer(firstPlan);
  };
}
