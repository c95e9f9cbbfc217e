// What a little more would be worth in a plan's problem: worked out in a worker when somebody asks, kept nowhere.
import type { RequestHandler } from 'express';
import { readFinishedPlan } from '../../usecases/planning/readPlan.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { insightSections } from './insightWords.ts';
import { planNumber } from './planForms.ts';
import { money } from './planWords.ts';

/** GET /plans/:id/insight */
export function insightPage(services: Services): RequestHandler {
  return async (req, res) => {
    const stored = await readFinishedPlan(services.db, planNumber(req.params.id));
    const insight = await services.jobs.insight(stored.id, stored.problem);
    showPage(req, res, 'plans/insight', {
      title: `What would pay in plan ${stored.id}`,
      stored,
      sections: insightSections(insight),
      short: insight.short,
      complete: insight.complete,
      base: insight.base ? money(insight.base.least) : '',
      currency: insight.currency,
    });
  };
}

/** GET /plans/:id/insight.json: the numbers with their ranges, and the sentences. */
export function insightFile(services: Services): RequestHandler {
  return async (req, res) => {
    const stored = await readFinishedPlan(services.db, planNumber(req.params.id));
    const insight = await services.jobs.insight(stored.id, stored.problem);
    res
      .type('application/json')
      .attachment(`plan-${stored.id}-insight.json`)
      .send(`${JSON.stringify({ ...insight, words: insightSections(insight) }, null, 2)}\n`);
  };
}
