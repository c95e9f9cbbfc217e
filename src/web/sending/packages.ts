// One package: what is in it, sending it, taking rolls out, undoing it. One form with a button for each.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal, refusalWords } from '../../domain/refusal.ts';
import { dispatchPackages, type ShortOrder } from '../../usecases/sending/dispatchPackages.ts';
import { type PackageSeen, readPackage } from '../../usecases/sending/readSending.ts';
import { unpackRolls } from '../../usecases/sending/unpackRolls.ts';
import { showPage } from '../page.ts';
import { manyOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count, grouped, rowHref } from '../words.ts';
import { kilos, orderLine, packageHref, ssccWords } from './sendingWords.ts';

interface Typed {
  act: ActForm & { fault?: string };
  rolls: string[];
  wrong: string[];
  short: ShortOrder[];
  status?: number;
}

/** GET /packages/:sscc. */
export function packagePage(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req), rolls: [], wrong: [], short: [] });
}

/** POST /packages/:sscc: the button says whether to dispatch, to take out or to undo. */
export function packagePost(services: Services): RequestHandler {
  return async (req, res) => {
    const act = readAct(req, res);
    const rolls = manyOf(req.body?.roll);
    const typed: Typed = { act, rolls, wrong: [], short: [] };
    const what = String(req.body?.do ?? '');
    if (what === 'take-out' && rolls.length === 0)
      typed.wrong.push('no roll is ticked; tick the rolls to take out');
    if (!['dispatch', 'take-out', 'undo'].includes(what))
      typed.wrong.push('press one of the buttons of the page');
    if (act.fault || typed.wrong.length > 0) return show(services, req, res, { ...typed, status: 422 });
    try {
      const short = await pressed(services, req, what, typed);
      if (short.length > 0) return await show(services, req, res, { ...typed, short, status: 422 });
    } catch (error) {
      if (!(error instanceof Refusal) || error.code === 'not-found') throw error;
      const { wrong, todo } = refusalWords(error);
      return show(services, req, res, { ...typed, wrong: [`${wrong} ${todo}`], status: 409 });
    }
    res.redirect(303, `${packageHref(String(req.params.sscc))}?did=${what}`);
  };
}

/** Does what the button says. @returns the orders that would get too few rolls, when nothing was done because of them. */
async function pressed(
  services: Services,
  req: Request,
  what: string,
  { act, rolls }: Typed,
): Promise<ShortOrder[]> {
  const sscc = String(req.params.sscc);
  const who = { by: act.by, requestKey: act.requestKey };
  if (what !== 'dispatch') {
    await unpackRolls(services.db, { ...who, sscc, rolls: what === 'undo' ? undefined : rolls });
    return [];
  }
  const shortIsRight = req.body?.short === 'right';
  const sent = await dispatchPackages(services.db, {
    ...who,
    packages: [sscc],
    shortIsRight,
    today: services.today(),
  });
  return sent.ok ? [] : sent.faults;
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const seen = await readPackage(services.db, String(req.params.sscc));
  const { sscc, status, customer, customerName } = seen.package;
  const model = {
    title: `Package ${ssccWords(sscc)}`,
    under: '/dispatch',
    href: packageHref(sscc),
    did: typed.status === undefined ? req.query.did : undefined,
    status,
    answer: answerOf(seen),
    customer: { name: customerName, href: rowHref('customers', customer) },
    rolls: rollLines(seen, typed),
    orders: seen.orders.map((order) => orderLine(order, services.today())),
    short: typed.short.map(
      ({ order, least, sent }) =>
        `Order ${order} would have ${count(sent, 'roll')} with this package, but takes at least ${grouped(least)}.`,
    ),
    wrong: typed.wrong,
    act: typed.act,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'sending/package', model, typed.status ?? 200);
}

function answerOf({ package: { status, customerName }, rolls }: PackageSeen): string {
  const mass = rolls.reduce((sum, roll) => sum + roll.massMg, 0);
  const weighed = rolls.every(({ massMg }) => massMg > 0) && rolls.length > 0 ? `, ${kilos(mass)} net` : '';
  const inside = `${count(rolls.length, 'roll')}${weighed}`;
  if (status === 'undone') return `It was undone for ${customerName}; there is nothing in it.`;
  return status === 'open'
    ? `Open for ${customerName}: ${inside}.`
    : `Dispatched to ${customerName}: ${inside}.`;
}

const rollLines = ({ rolls }: PackageSeen, typed: Typed) =>
  rolls.map((roll) => ({
    code: roll.roll,
    href: rowHref('rolls', roll.roll),
    returnHref: `${rowHref('rolls', roll.roll)}/return`,
    order: roll.order ?? '',
    size: `${grouped(roll.widthUm / 1000)} mm x ${grouped(roll.lengthMm / 1000)} m`,
    mass: kilos(roll.massMg),
    lot: roll.lot ?? '',
    status: roll.status,
    ticked: typed.rolls.includes(roll.roll),
  }));
