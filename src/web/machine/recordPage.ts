// The page at the slitter, for a tablet: sets cut from a roll, what did not go as planned, the end of the roll; closing
// the run; undoing the latest thing recorded of a roll. Every form is entered once, however often it is sent.
import type { Request, RequestHandler, Response } from 'express';
import { Refusal, refusalWords } from '../../domain/refusal.ts';
import { CUT_OUT_KINDS, SCRAP_CAUSES, STUB_CAUSES } from '../../domain/stockWords.ts';
import { type ReleasedRun, type ReleaseSeen, readRelease } from '../../usecases/machine/readRelease.ts';
import { recordSets } from '../../usecases/machine/recordSets.ts';
import { undoLatest } from '../../usecases/machine/undoLatest.ts';
import { closeRun } from '../../usecases/machine/withdrawRuns.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { type ActForm, newAct, readAct } from '../whoIsAsking.ts';
import { count, grouped } from '../words.ts';
import { recordedRows } from './recordedRows.ts';
import { type Fault, firstForm, MOST_EXCEPTIONS, readRecordForm, type TypedRecord } from './recordForm.ts';
import { numberInAddress, reasonOf, runRow } from './releaseForms.ts';
import { rollChoices } from './rollsAtMachine.ts';
import { runOfRelease } from './runCard.ts';

interface Shown {
  act: ActForm & { fault?: string };
  typed?: TypedRecord;
  faults?: Fault[];
  /** What is wrong with the small forms below. */
  wrong?: string;
  /** Why nothing was recorded although the form is right. */
  refusal?: Refusal;
}

/** What may be put right on this page is said on it, with everything that was typed; other refusals have their own. */
async function refusalAsFault<T>(record: () => Promise<T>): Promise<T | Refusal> {
  try {
    return await record();
  } catch (error) {
    if (error instanceof Refusal && error.code !== 'not-found' && error.code !== 'run-not-released')
      return error;
    throw error;
  }
}

/** GET /releases/:id/runs/:run/record */
export function recordPage(services: Services): RequestHandler {
  return async (req, res) => show(services, req, res, { act: newAct(req) });
}

/** POST /releases/:id/runs/:run/record */
export function recordPost(services: Services): RequestHandler {
  return async (req, res) => {
    const { release, run } = await addressed(services, req);
    const act = readAct(req, res);
    const read = readRecordForm(req.body ?? {});
    const faults: Fault[] = act.fault
      ? [{ field: 'by', wrong: act.fault, right: '' }, ...read.faults]
      : read.faults;
    if (faults.length > 0) return show(services, req, res, { act, typed: read.typed, faults });
    const { by, requestKey } = act;
    const cut = { ...read.cut, by, requestKey, today: services.today() };
    const recorded = await refusalAsFault(() => recordSets(services.db, release, run, cut));
    if (recorded instanceof Refusal)
      return show(services, req, res, { act, typed: read.typed, refusal: recorded });
    if (!recorded.ok) return show(services, req, res, { act, typed: read.typed, faults: recorded.faults });
    res.redirect(303, `/releases/${release}/runs/${run}/record?did=recorded`);
  };
}

/** POST /releases/:id/runs/:run/close */
export function closePost(services: Services): RequestHandler {
  return async (req, res) => {
    const { release, run } = await addressed(services, req);
    const act = readAct(req, res);
    const reason = reasonOf(req.body?.reason);
    const wrong =
      act.fault ?? (reason === '' ? 'Say why the run ends here; the ledger keeps the reason.' : '');
    if (wrong) return show(services, req, res, { act, wrong });
    await closeRun(services.db, release, run, { by: act.by, requestKey: act.requestKey, reason });
    res.redirect(303, `/releases/${release}`);
  };
}

/** POST /releases/:id/runs/:run/undo */
export function undoPost(services: Services): RequestHandler {
  return async (req, res) => {
    const { release, run } = await addressed(services, req);
    const act = readAct(req, res);
    const reason = reasonOf(req.body?.reason);
    const roll = String(req.body?.roll ?? '');
    const wrong = act.fault ?? (reason === '' ? 'Say why it is undone; the ledger keeps the reason.' : '');
    if (wrong) return show(services, req, res, { act, wrong });
    const entry = Number(req.body?.entry);
    await undoLatest(services.db, release, roll, { by: act.by, requestKey: act.requestKey, reason, entry });
    res.redirect(303, `/releases/${release}/runs/${run}/record?did=undone`);
  };
}

async function addressed({ db }: Services, req: Request): Promise<{ release: number; run: number }> {
  const seen = await readRelease(db, numberInAddress(req.params.id, 'release'));
  return { release: seen.release.id, run: runOfRelease(seen, req.params.run).sequence };
}

const DID: Record<string, string> = {
  recorded: 'Recorded. Stock, orders and stubs follow.',
  undone: 'Undone; the entry and its reason stay in the ledger.',
};

async function show(services: Services, req: Request, res: Response, shown: Shown): Promise<void> {
  const seen = await readRelease(services.db, numberInAddress(req.params.id, 'release'));
  const run = runOfRelease(seen, req.params.run);
  const rolls = rollChoices(seen, run, services.today());
  const recorded = recordedRows(seen, run.sequence);
  const faults = shown.faults ?? [];
  const model = {
    title: `Record run ${run.sequence} of release ${seen.release.id}`,
    under: '/machine',
    release: seen.release,
    run: runRow(run),
    answer: answerOf(seen, run),
    did: DID[String(req.query.did)] ?? '',
    rolls,
    strips: stripChoices(run),
    typed: shown.typed ?? firstForm(seen, run, rolls),
    faults,
    faultOf: (field: string) => faults.find((fault) => fault.field === field),
    act: shown.act,
    actFault: faults.find(({ field }) => field === 'by')?.wrong,
    wrong: shown.wrong ?? '',
    refusal: shown.refusal && refusalWords(shown.refusal),
    next: nextRun(seen, run),
    exceptions: MOST_EXCEPTIONS,
    causes: { scrap: SCRAP_CAUSES, stub: STUB_CAUSES, cutOut: CUT_OUT_KINDS },
    recorded: recorded.slice(0, 40),
    undoable: recorded.filter(({ latest }) => latest),
  };
  const status = shown.refusal ? 409 : faults.length > 0 || shown.wrong ? 422 : 200;
  showPage(req, res, 'releases/record', model, status);
}

/** The run that the slitter cuts after this one is done. */
function nextRun({ runs }: ReleaseSeen, { status, slitter }: ReleasedRun): string {
  const next = status === 'done' && runs.find((one) => one.slitter === slitter && runRow(one).open);
  return next ? String(next.sequence) : '';
}

function answerOf({ made }: ReleaseSeen, run: ReleasedRun): string {
  const { status, setsCut, setsPlanned } = run;
  if (status === 'withdrawn') return 'This run was withdrawn: nothing may be cut of it.';
  if (status === 'done') return `This run is done: ${count(setsCut, 'set')} cut of ${setsPlanned} planned.`;
  const left = setsPlanned - setsCut;
  return `${grouped(setsCut)} of ${count(setsPlanned, 'set')} cut, ${grouped(left)} to go.${made.length > 0 ? '' : ' Nothing is recorded of this release yet.'}`;
}

/** The strips that are wound, for the list of exceptions. */
function stripChoices({ run }: ReleasedRun) {
  return run.strips.flatMap((strip, index) =>
    strip.waste
      ? []
      : [
          {
            value: index + 1,
            words: `${index + 1}: ${grouped(strip.toMm - strip.fromMm)} ${strip.order ?? 'for the shelf'}`,
          },
        ],
  );
}
