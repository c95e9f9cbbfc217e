// The editor of a roll's map: the drawn roll, its bad places one a line, and a form for one of them. A pointer dragged
// over the picture fills the form (views/assets/rollMap.js); without JavaScript the numbers are typed.
import type { Request, RequestHandler, Response } from 'express';
import { printField } from '../../domain/fieldText.ts';
import { PLACE_FIELDS, USUAL_KINDS } from '../../domain/mapForm.ts';
import type { Fault } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type BadPlace, printRollMap } from '../../domain/rollMap.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { changeMap, markOfMap } from '../../usecases/rolls/changeMap.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { rowOrRefuse } from '../tables/resourceRow.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { rowHref } from '../words.ts';
import { rollField } from './fieldOfRoll.ts';

interface State {
  typed: TypedTexts;
  /** The place in the form, from 0; undefined for a new one. */
  at: number | undefined;
  act: ActForm & { fault?: string };
  faults: readonly Fault[];
}

/** GET /rolls/:code/map; ?place=2 opens the second place. */
export function mapPage(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
    const at = placeNumber(req.query.place, row.rollMap as BadPlace[]);
    const place = at === undefined ? undefined : (row.rollMap as BadPlace[])[at];
    const typed = place
      ? Object.fromEntries(PLACE_FIELDS.map((f) => [f.name, printField(f, place[f.name as keyof BadPlace])]))
      : {};
    await show(services, req, res, { typed, at, act: newAct(req), faults: [] });
  };
}

/** POST /rolls/:code/map. */
export function mapPost(services: Services): RequestHandler {
  return async (req, res) => {
    const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
    const code = String(row.code);
    const body = (req.body ?? {}) as Record<string, unknown>;
    const typed = typedOf(PLACE_FIELDS, body);
    const at = placeNumber(body.place, row.rollMap as BadPlace[]);
    const act = readAct(req, res);
    if (act.fault) return show(services, req, res, { typed, at, act, faults: [] });
    const what = body.do === 'remove' ? 'remove' : body.do === 'change' ? 'change' : 'add';
    const changed = await changeMap(services.db, {
      roll: code,
      what,
      at: at ?? -1,
      seen: String(body.seen ?? ''),
      typed,
      by: act.by,
      requestKey: act.requestKey,
    });
    if (!changed.ok) return show(services, req, res, { typed, at, act, faults: changed.faults });
    res.redirect(303, `${rowHref('rolls', code)}/map?did=${what}`);
  };
}

function placeNumber(text: unknown, places: readonly BadPlace[]): number | undefined {
  const number = /^\d{1,5}$/.test(String(text)) ? Number(text) : 0;
  return number >= 1 && number <= places.length ? number - 1 : undefined;
}

const DID: Record<string, string> = {
  add: 'The bad place was added.',
  change: 'The bad place was changed.',
  remove: 'The bad place was removed.',
};

async function show(services: Services, req: Request, res: Response, state: State): Promise<void> {
  const row = await rowOrRefuse(services, RESOURCES.rolls, String(req.params.code));
  const places = row.rollMap as BadPlace[];
  const code = String(row.code);
  const { at, act, faults } = state;
  const wrong = act.fault !== undefined || faults.length > 0;
  const model = {
    title: `Roll map of ${code}`,
    under: '/rolls',
    scripts: ['rollMap.js'],
    code,
    href: rowHref('rolls', code),
    did: DID[String(req.query.did)],
    roll: rollField(row),
    lengthM: mmToM(row.lengthMm as number),
    widthMm: umToMm(row.widthUm as number),
    places: places.map((place, i) => ({
      number: i + 1,
      text: printRollMap([place]),
      open: i === at,
    })),
    at: at === undefined ? undefined : at + 1,
    inputs: await inputsOf(services, PLACE_FIELDS, state.typed, faults),
    kinds: USUAL_KINDS,
    seen: markOfMap(places),
    act,
    actFault: act.fault,
    faults,
  };
  showPage(req, res, 'roll/map', model, wrong ? 422 : 200);
}
