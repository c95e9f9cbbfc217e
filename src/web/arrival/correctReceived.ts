// Correcting what was entered of a roll of film when it came: length, mass, width, lot. A new entry with a reason; what is
// left empty stays as it is.
import type { Request, Response } from 'express';
import type { Fault, Row } from '../../domain/resource.ts';
import { correctReceived, RECEIVED_FIELDS } from '../../usecases/receiving/correctReceived.ts';
import { reasonOf } from '../machine/releaseForms.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { rowHref, shown } from '../words.ts';

interface State {
  act: ActForm & { fault?: string };
  typed: TypedTexts;
  reason: string;
  confirmed: boolean;
  faults: readonly Fault[];
}

/** The form for a roll of base film. */
export const receivedForm = (services: Services, req: Request, res: Response, row: Row): Promise<void> =>
  show(services, req, res, row, { act: newAct(req), typed: {}, reason: '', confirmed: false, faults: [] });

export async function receivedPost(services: Services, req: Request, res: Response, row: Row): Promise<void> {
  const body = (req.body ?? {}) as Record<string, unknown>;
  const state = {
    act: readAct(req, res),
    typed: typedOf(RECEIVED_FIELDS, body),
    reason: reasonOf(body.reason),
    confirmed: body.confirmed === 'yes',
  };
  const faults = [...nothingTyped(state.typed), ...noReason(state.reason)];
  if (state.act.fault || faults.length > 0) return show(services, req, res, row, { ...state, faults });
  const { by, requestKey } = state.act;
  const done = await correctReceived(services.db, String(row.code), { ...state, by, requestKey });
  if (!done.ok) return show(services, req, res, row, { ...state, faults: done.faults });
  res.redirect(303, `${rowHref('rolls', String(row.code))}?did=corrected#history`);
}

const nothingTyped = (typed: TypedTexts): Fault[] =>
  Object.values(typed).some((text) => text.trim() !== '')
    ? []
    : [
        {
          field: 'lengthMm',
          column: 'Length (m)',
          value: '',
          wrong: 'nothing is typed',
          right: 'what is to be corrected',
        },
      ];

const noReason = (reason: string): Fault[] =>
  reason !== ''
    ? []
    : [
        {
          field: 'reason',
          column: 'Reason',
          value: '',
          wrong: 'it is missing',
          right: 'why; the ledger keeps it',
        },
      ];

async function show(services: Services, req: Request, res: Response, row: Row, state: State): Promise<void> {
  const { act, typed, faults, reason, confirmed } = state;
  const inputs = await inputsOf(services, RECEIVED_FIELDS, typed, faults);
  const code = String(row.code);
  const model = {
    title: `Correct roll ${code} as it was received`,
    under: '/rolls',
    code,
    href: rowHref('rolls', code),
    inputs: inputs.map((input) => ({
      ...input,
      now: shown(input.field, row[input.field.name]) || 'not entered',
    })),
    reason,
    confirmed,
    faults,
    act,
    actFault: act.fault,
  };
  showPage(req, res, 'receive/correct', model, faults.length > 0 || act.fault ? 422 : 200);
}
