// Release a roll, hold it, release it with a concession, take that back: one page with a form for each decision that the
// roll allows now. Each becomes an entry with a name and a reason.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import type { Fault } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { CONCESSION_FIELDS, DECISIONS, type Decision, REASON } from '../../domain/rollDecision.ts';
import { decideOnRoll, whatMayBeDecided } from '../../usecases/rolls/decideOnRoll.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { rowOrRefuse } from '../tables/resourceRow.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { rowHref } from '../words.ts';

const WORDS: Record<Decision, { head: string; about: string; button: string }> = {
  release: {
    head: 'Release it',
    about: 'It was inspected and may be planned and run.',
    button: 'Release',
  },
  hold: {
    head: 'Put it on hold',
    about: 'No plan counts on it and no machine may run it until somebody releases it.',
    button: 'Hold',
  },
  concession: {
    head: 'Release it with a concession',
    about:
      'It does not meet what it should, and somebody answers for using it all the same until a day. Beyond its use-by day a test must be named. Aged coating can block, dust or behave otherwise than new: your site procedure, local law and qualified people decide, not this page.',
    button: 'Release with this concession',
  },
  'take back': {
    head: 'Take the concession back',
    about: 'The roll goes on hold, and its use-by day becomes again what it was before.',
    button: 'Take back',
  },
};

interface State {
  decision?: Decision;
  typed: TypedTexts;
  faults: readonly Fault[];
  act: ActForm & { fault?: string };
}

/** GET /rolls/:code/status. */
export function statusPage(services: Services): RequestHandler {
  return (req, res) => show(services, req, res, { typed: {}, faults: [], act: newAct(req) });
}

/** POST /rolls/:code/status. */
export function statusPost(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
    const body = (req.body ?? {}) as Record<string, unknown>;
    const typed = typedOf(CONCESSION_FIELDS, body);
    const decision = DECISIONS.find((one) => one === body.decision);
    const roll = String(row.code);
    if (!decision)
      throw new Refusal('not-to-be-decided', {
        roll,
        decision: String(body.decision ?? ''),
        why: 'no such decision',
      });
    const act = readAct(req, res);
    if (act.fault) return show(services, req, res, { decision, typed, faults: [], act });
    const { by, requestKey } = act;
    const today = services.today();
    const decided = await decideOnRoll(services.db, { roll, decision, typed, by, requestKey, today });
    if (!decided.ok) return show(services, req, res, { decision, typed, faults: decided.faults, act });
    res.redirect(303, `${rowHref('rolls', roll)}?did=decided#history`);
  };
}

async function show(services: Services, req: Request, res: Response, state: State): Promise<void> {
  const { row, decisions, concession, holder } = await whatMayBeDecided(
    services.db,
    String(req.params.code),
    services.today(),
  );
  const { act, decision, faults, typed } = state;
  const forms = await Promise.all(
    decisions.map(async (one) => {
      const mine = one === decision;
      const fields = one === 'concession' ? CONCESSION_FIELDS : [REASON];
      const inputs = await inputsOf(services, fields, mine ? typed : {}, mine ? faults : []);
      return { decision: one, ...WORDS[one], inputs, actFault: mine ? act.fault : undefined };
    }),
  );
  const wrong = act.fault !== undefined || faults.length > 0;
  const code = String(row.code);
  const model = {
    title: `Decide on roll ${code}`,
    under: '/rolls',
    code,
    href: rowHref('rolls', code),
    status: row.status,
    useBy: row.useBy,
    past: row.useBy && String(row.useBy) < services.today(),
    item: row.item,
    note: row.note,
    concession,
    holder,
    forms,
    act,
    faults,
    actFault: act.fault,
  };
  showPage(req, res, 'roll/status', model, wrong ? 422 : 200);
}
