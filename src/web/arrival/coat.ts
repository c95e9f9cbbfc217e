// Record a coating run: which film went in, what was lost, what came out, and the lot of coating with its checks. Then the
// record with its balance of metres and kilograms.
import type { Request, RequestHandler, Response } from 'express';
import {
  BASE_FIELDS,
  JUMBO_FIELDS,
  LOSS_FIELDS,
  LOT_FIELDS,
  outsideLimits,
  RUN_FIELDS,
  USUAL_LOSSES,
} from '../../domain/coatingForm.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import type { CoatingFault, TypedCoating } from '../../usecases/coating/coating.ts';
import {
  type CoatingMovement,
  type CoatingSeen,
  newestCoatings,
  openCoating,
} from '../../usecases/coating/readCoatings.ts';
import { recordCoating } from '../../usecases/coating/recordCoating.ts';
import { undoCoating } from '../../usecases/coating/undoCoating.ts';
import { getRow, listRows } from '../../usecases/tables/listRows.ts';
import { reasonOf } from '../machine/releaseForms.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { defaultsOf, inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { rowsModel, typedRows } from '../typedRows.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { grouped, rowHref } from '../words.ts';

const HEAD = [...RUN_FIELDS, ...LOT_FIELDS];

interface State {
  typed: TypedCoating & { head: TypedTexts };
  act: ActForm & { fault?: string };
  faults: readonly CoatingFault[];
}

/** GET /coat; a base roll or a product named in the address is filled in. */
export function coatForm(services: Services): RequestHandler {
  return async (req, res) => {
    const named = (name: string) => (typeof req.query[name] === 'string' ? String(req.query[name]) : '');
    const product = named('product') || (await onlyProductOn(services, named('roll')));
    const head = { ...defaultsOf(HEAD), coatedOn: services.today(), product };
    const bases = named('roll') ? [{ roll: named('roll'), takenMm: '' }] : [];
    const typed = { head, bases, losses: [], jumbos: [] };
    await show(services, req, res, { typed, act: newAct(req), faults: [] });
  };
}

/** The product that is coated on the film of this roll, when it is the only one. */
async function onlyProductOn({ db }: Services, code: string): Promise<string> {
  const roll = code === '' ? undefined : await getRow(db, RESOURCES.rolls, code);
  if (!roll) return '';
  const all = { page: 1, pageSize: 1000, sort: 'code', descending: false, filters: {}, search: '' };
  const { rows } = await listRows(db, RESOURCES.products, all);
  const products = rows.filter(({ grades }) => (grades as string[]).includes(String(roll.item)));
  return products.length === 1 ? String(products[0]?.code) : '';
}

/** POST /coat. */
export function coatPost(services: Services): RequestHandler {
  return async (req, res) => {
    const body = (req.body ?? {}) as Record<string, unknown>;
    const typed = {
      head: typedOf(HEAD, body),
      bases: typedRows('bases', BASE_FIELDS, body),
      losses: typedRows('losses', LOSS_FIELDS, body),
      jumbos: typedRows('jumbos', JUMBO_FIELDS, body),
    };
    const act = readAct(req, res);
    if (act.fault) return show(services, req, res, { typed, act, faults: [] });
    const { by, requestKey } = act;
    const sent = await recordCoating(services.db, typed, { by, requestKey, today: services.today() });
    if (!sent.ok) return show(services, req, res, { typed, act, faults: sent.faults });
    res.redirect(303, `/coatings/${sent.entry}?did=recorded`);
  };
}

async function show(
  services: Services,
  req: Request,
  res: Response,
  { typed, act, faults }: State,
): Promise<void> {
  const rows = (
    list: 'bases' | 'losses' | 'jumbos',
    row: string,
    fields: typeof BASE_FIELDS,
    least: number,
  ) =>
    rowsModel(services, {
      list,
      row,
      fields,
      typed: typed[list] as TypedTexts[],
      least,
      faults,
      offered: list === 'losses' ? { cause: USUAL_LOSSES } : {},
    });
  const headFaults = faults.filter(({ list }) => list === undefined);
  const model = {
    title: 'Record a coating run',
    under: '/coat',
    run: await inputsOf(services, RUN_FIELDS, typed.head, headFaults),
    lot: await inputsOf(services, LOT_FIELDS, typed.head, headFaults),
    bases: await rows('bases', 'base roll', BASE_FIELDS, 3),
    losses: await rows('losses', 'loss', LOSS_FIELDS, 3),
    jumbos: await rows('jumbos', 'coated roll', JUMBO_FIELDS, 2),
    faults: faults.map((fault) => ({
      ...fault,
      at: fault.list === undefined ? `i-${fault.field}` : `${fault.list}-${fault.field}-${fault.place}`,
    })),
    act,
    actFault: act.fault,
    records: await newestCoatings(services.db),
  };
  showPage(req, res, 'coat/form', model, faults.length > 0 || act.fault ? 422 : 200);
}

/** GET /coatings/:entry. */
export function coatingPage(services: Services): RequestHandler {
  return (req, res) => showCoating(services, req, res, { act: newAct(req), wrong: '' });
}

async function showCoating(
  services: Services,
  req: Request,
  res: Response,
  { act, wrong }: { act: ActForm; wrong: string },
): Promise<void> {
  const run = await openCoating(services.db, String(req.params.entry));
  const model = {
    title: `Coating record ${run.entry}`,
    under: '/coat',
    did: req.query.did,
    run,
    productHref: rowHref('products', run.product),
    when: run.at.toISOString().slice(0, 16).replace('T', ' '),
    outside: outsideLimits(run, run.viscosityUnit ?? ''),
    checks: checksOf(run),
    edges: `${grouped(umToMm(run.coatFreeLeftUm))} mm left, ${grouped(umToMm(run.coatFreeRightUm))} mm right`,
    ...balanceOf(run),
    act,
    wrong,
  };
  showPage(req, res, 'coat/record', model, wrong ? 422 : 200);
}

/** POST /coatings/:entry/undo. */
export function undoCoatingPost(services: Services): RequestHandler {
  return async (req, res) => {
    const run = await openCoating(services.db, String(req.params.entry));
    const act = readAct(req, res);
    const reason = reasonOf(req.body?.reason);
    const wrong =
      act.fault ?? (reason === '' ? 'Say why it is taken back; the ledger keeps the reason.' : '');
    if (wrong) return showCoating(services, req, res, { act, wrong });
    await undoCoating(services.db, run.entry, { by: act.by, requestKey: act.requestKey, reason });
    res.redirect(303, `/coatings/${run.entry}?did=undone`);
  };
}

function checksOf(run: CoatingSeen) {
  const limits = (least: number | null, most: number | null) =>
    [least === null ? '' : `at least ${least}`, most === null ? '' : `at most ${most}`]
      .filter(Boolean)
      .join(', ');
  return [
    {
      what: 'Viscosity',
      unit: run.viscosityUnit ?? '',
      value: run.viscosity,
      limits: limits(run.viscosityMin, run.viscosityMax),
    },
    { what: 'Solids', unit: '%', value: run.solidsPct, limits: limits(run.solidsMinPct, run.solidsMaxPct) },
  ].filter(({ value }) => value !== null);
}

/** Lines of the balance: each base roll with where its metres went, each coated roll with what it is made of. */
function balanceOf({ movements, statuses }: CoatingSeen) {
  const line = ({ roll, cause, lengthMm, massMg, madeOf }: CoatingMovement) => ({
    roll,
    href: rowHref('rolls', roll),
    cause: madeOf ? `film of ${madeOf}` : cause,
    length: lengthMm === 0 ? '' : grouped(mmToM(Math.abs(lengthMm))),
    mass: grouped(Math.abs(massMg) / 1e6, 3),
  });
  const of = (side: CoatingMovement['side']) => movements.filter((movement) => movement.side === side);
  const total = (some: CoatingMovement[]) => ({
    length: grouped(mmToM(Math.abs(some.reduce((sum, { lengthMm }) => sum + lengthMm, 0)))),
    mass: grouped(Math.abs(some.reduce((sum, { massMg }) => sum + massMg, 0)) / 1e6, 3),
  });
  const [made, out, lost] = [of('in'), of('out'), of('loss')];
  return {
    taken: [...out, ...lost].map(line),
    takenTotal: total([...out, ...lost]),
    made: made.map(line),
    madeTotal: total(made),
    lostTotal: total(lost),
    jumbos: [...new Set(made.map(({ roll }) => roll))].map((code) => ({
      code,
      href: rowHref('rolls', code),
      status: statuses[code] ?? '',
    })),
  };
}
