// A roll that comes back: who, why; it stays on hold until somebody decides on it.
import type { Request, RequestHandler, Response } from 'express';
import { rollsToLabel } from '../../usecases/sending/readSending.ts';
import { returnRoll } from '../../usecases/sending/returnRoll.ts';
import { reasonOf } from '../machine/releaseForms.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { rowHref } from '../words.ts';

interface Typed {
  act: ActForm & { fault?: string };
  reason: string;
  wrong: string[];
}

/** GET /rolls/:code/return. */
export function returnForm(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req), reason: '', wrong: [] });
}

/** POST /rolls/:code/return. */
export function returnPost(services: Services): RequestHandler {
  return async (req, res) => {
    const act = readAct(req, res);
    const reason = reasonOf(req.body?.reason);
    const wrong = reason === '' ? ['the reason is missing; say why it came back'] : [];
    if (act.fault || wrong.length > 0) return show(services, req, res, { act, reason, wrong });
    const roll = String(req.params.code);
    await returnRoll(services.db, { by: act.by, requestKey: act.requestKey, roll, reason });
    res.redirect(303, rowHref('rolls', roll));
  };
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const { rolls, orders } = await rollsToLabel(services.db, [String(req.params.code)]);
  const roll = rolls[0];
  const order = orders.get(roll?.order ?? '');
  const model = {
    title: `Roll ${roll?.code} comes back`,
    under: '/dispatch',
    href: rowHref('rolls', String(roll?.code)),
    whom: order ? `It was sent to ${order.customerName} for order ${order.order}.` : '',
    isSent: roll?.status === 'dispatched',
    status: roll?.status,
    reason: typed.reason,
    wrong: typed.wrong,
    act: typed.act,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'sending/return', model, typed.wrong.length > 0 || typed.act.fault ? 422 : 200);
}
