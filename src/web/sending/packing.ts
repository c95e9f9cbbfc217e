// Packing one order: its finished rolls, ticked up to what may be sent, into a new package or an open one of the customer.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal, refusalWords } from '../../domain/refusal.ts';
import { packRolls } from '../../usecases/sending/packRolls.ts';
import { orderToPack, type RollToPack } from '../../usecases/sending/readSending.ts';
import { showPage } from '../page.ts';
import { manyOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count, grouped, rowHref } from '../words.ts';
import { kilos, orderLine, packageHref, ssccWords } from './sendingWords.ts';

interface Typed {
  act: ActForm & { fault?: string };
  /** Undefined: nothing was sent yet, all that may go are ticked. */
  rolls?: string[];
  into: string;
  wrong: string[];
  status?: number;
}

/** GET /pack/:order. */
export function packForm(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req), into: '', wrong: [] });
}

/** POST /pack/:order. */
export function packPost(services: Services): RequestHandler {
  return async (req, res) => {
    const act = readAct(req, res);
    const rolls = manyOf(req.body?.roll);
    const into = typeof req.body?.into === 'string' ? req.body.into : '';
    const typed = {
      act,
      rolls,
      into,
      wrong: rolls.length === 0 ? ['no roll is ticked; tick the rolls that go in'] : [],
    };
    if (act.fault || rolls.length === 0) return show(services, req, res, { ...typed, status: 422 });
    try {
      const sscc = await packRolls(services.db, {
        by: act.by,
        requestKey: act.requestKey,
        order: String(req.params.order),
        rolls,
        into: into || undefined,
        companyPrefix: services.companyPrefix,
        today: services.today(),
      });
      res.redirect(303, `${packageHref(sscc)}?did=packed`);
    } catch (error) {
      if (!(error instanceof Refusal) || error.code === 'not-found') throw error;
      // What was ticked stays, among the rolls as they are now; the key was not used up.
      const { wrong, todo } = refusalWords(error);
      await show(services, req, res, { ...typed, wrong: [`${wrong} ${todo}`], status: 409 });
    }
  };
}

async function show(services: Services, req: Request, res: Response, typed: Typed): Promise<void> {
  const { order, rolls, open } = await orderToPack(services.db, String(req.params.order));
  const today = services.today();
  const mayGo = rolls.filter((roll) => !isExpired(roll, today)).slice(0, order.room);
  const ticked = new Set(typed.rolls ?? mayGo.map(({ code }) => code));
  const model = {
    title: `Pack order ${order.order}`,
    under: '/dispatch',
    order: orderLine(order, today),
    answer:
      rolls.length === 0
        ? 'No roll of it is ready to be packed.'
        : `${count(rolls.length, 'roll')} ready to be packed.`,
    rolls: rolls.map((roll) => ({
      code: roll.code,
      href: rowHref('rolls', roll.code),
      length: grouped(roll.lengthMm / 1000),
      mass: roll.massKg ? kilos(roll.massKg * 1e6) : 'not weighed',
      lot: roll.lot ?? '',
      splices: grouped(roll.splices),
      useBy: roll.useBy ?? '',
      expired: isExpired(roll, today),
      whose: roll.order === null ? 'from the shelf' : '',
      ticked: ticked.has(roll.code),
    })),
    open: open.map(({ sscc, rolls: many }) => ({ sscc, text: `${ssccWords(sscc)}, ${count(many, 'roll')}` })),
    into: typed.into,
    wrong: typed.wrong,
    act: typed.act,
    actFault: typed.act.fault,
  };
  showPage(req, res, 'sending/pack', model, typed.status ?? 200);
}

const isExpired = ({ useBy }: RollToPack, today: string): boolean => useBy !== null && useBy < today;
