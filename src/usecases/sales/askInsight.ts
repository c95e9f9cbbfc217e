// What a little more of something would be worth in the problem of a plan: read strictly, then asked of the planner.
// Nothing is stored: the answer belongs to the frozen problem and can be had again.
import type { Insight } from '../../domain/insight.ts';
import type { PlanControl } from '../../domain/plan.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { insightOf } from '../../planner/insight/insight.ts';

/** CPU heavy: call it in a worker. Throws when the stored problem can no longer be read, which is a bug. */
export function askInsight(document: unknown, control: PlanControl): Insight {
  const read = parseProblem(document);
  if (!read.ok) throw new Error('a stored problem can no longer be read');
  return insightOf(read.problem, control);
}
