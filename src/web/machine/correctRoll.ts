// Correcting one roll. A finished one: another length was found on it, or it is scrap. Base film: what was entered when it
// came (correctReceived.ts). Each is a new entry with a reason.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { SCRAP_CAUSES } from '../../domain/stockWords.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { changeFinishedLength, scrapFinished } from '../../usecases/machine/correctFinished.ts';
import { receivedForm, receivedPost } from '../arrival/correctReceived.ts';
import { showPage } from '../page.ts';
import { oneOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { rowOrRefuse } from '../tables/resourceRow.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { grouped, rowHref } from '../words.ts';
import { metresTyped, reasonOf } from './releaseForms.ts';

interface Typed {
  act: ActForm & { fault?: string };
  length: string;
  cause: string;
  reason: string;
  wrong: string[];
}

/** GET /rolls/:code/correct */
export function correctForm(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
    if (row.kind === 'base') return receivedForm(services, req, res, row);
    return show(services, req, res, { act: newAct(req), length: '', cause: '', reason: '', wrong: [] });
  };
}

/** POST /rolls/:code/correct: a new length, or scrap when a cause is chosen. */
export function correctPost(services: Services): RequestHandler {
  return async (req, res) => {
    const code = String(req.params.code);
    const row = await rowOrRefuse(services, RESOURCES.rolls, code);
    if (row.kind === 'base') return receivedPost(services, req, res, row);
    const act = readAct(req, res);
    const typed = {
      act,
      length: oneOf(req.body?.length).trim(),
      cause: oneOf(req.body?.cause),
      reason: reasonOf(req.body?.reason),
      wrong: [] as string[],
    };
    const lengthMm = metresTyped(typed.length);
    if (act.fault) typed.wrong.push(act.fault);
    if (typed.reason === '') typed.wrong.push('The reason is missing; the ledger keeps it.');
    if (typed.cause === '' && lengthMm === undefined)
      typed.wrong.push(
        `"${typed.length}" is not a length; right would be metres, such as 298.5, or a cause of scrap.`,
      );
    if (typed.cause !== '' && typed.length !== '')
      typed.wrong.push('A length and a cause of scrap are given; right would be one of the two.');
    if (typed.wrong.length > 0) return show(services, req, res, typed);
    const correction = { by: act.by, requestKey: act.requestKey, reason: typed.reason };
    const done =
      typed.cause !== ''
        ? await scrapFinished(services.db, code, typed.cause, correction)
        : await changeFinishedLength(services.db, code, lengthMm as number, correction);
    if (done.ok) return res.redirect(303, rowHref('rolls', code));
    const { wrong, right } = done.faults;
    return show(services, req, res, { ...typed, wrong: [`${wrong}; right would be ${right}.`] });
  };
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
  if (row.kind !== 'finished')
    throw new Refusal('roll-not-finished', { roll: String(row.code), what: String(row.kind) });
  const code = String(row.code);
  const model = {
    title: `Correct finished roll ${code}`,
    under: '/rolls',
    code,
    href: rowHref('rolls', code),
    words: `${String(row.item)}, ${grouped(umToMm(row.widthUm as number))} mm x ${grouped(mmToM(row.lengthMm as number))} m, ${String(row.status)}${row.note ? `. ${String(row.note)}` : ''}`,
    causes: SCRAP_CAUSES,
    ...typed,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'releases/correct', model, typed.wrong.length > 0 ? 422 : 200);
}
