// Import in three steps: choose a file or paste a table; see what it would do, with every faulty row; then import
// all good rows or none. Nothing is stored before the last step, and it reads the same bytes as the preview did.
import type { Request, RequestHandler, Response } from 'express';
import { type Fault, type Field, fieldHead, type Resource } from '../../domain/resource.ts';
import { applyImport, previewImport } from '../../usecases/tables/importRows.ts';
import { MAX_UPLOAD_BYTES, type Upload } from '../formBody.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { forgetUpload, keepUpload, keptUpload } from '../waitingUploads.ts';
import { nameOf } from '../whoIsAsking.ts';
import { grouped } from '../words.ts';

/** So many faults are listed; a file with more has one cause that the first ones show. */
const MOST_FAULTS_SHOWN = 200;

/** GET /import/<resource>: choose a file or paste a table. */
export function importForm(resource: Resource): RequestHandler {
  return (req, res) => showImport(req, res, resource, { typed: '', wrong: undefined });
}

/** POST /import/<resource>: the preview. */
export function importPreview(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const typed = typeof req.body.table === 'string' ? req.body.table : '';
    const upload = res.locals.upload as Upload | undefined;
    const wrong = whatIsWrong(req.body, upload, typed);
    if (wrong) return showImport(req, res, resource, { typed, wrong });
    const bytes = upload?.bytes ?? Buffer.from(typed, 'utf8');
    const name = upload?.name ?? 'the pasted table';
    const preview = await previewImport(services.db, resource, bytes);
    const ticket = keepUpload({ visit: String(res.locals.visit), resource: resource.name, name, bytes });
    showPage(
      req,
      res,
      'resource/importPreview',
      {
        title: `Import ${resource.plural}: preview`,
        under: `/${resource.name}`,
        resource,
        name,
        ticket,
        preview,
        ...faultLines(preview.faults),
        grouped,
      },
      preview.faults.length > 0 ? 422 : 200,
    );
  };
}

/** POST /import/<resource>/apply: imports the previewed file, all good rows or none. */
export function importApply(services: Services, resource: Resource): RequestHandler {
  return async (req, res) => {
    const { ticket, mode } = req.body as Record<string, unknown>;
    const kept = keptUpload(String(ticket), String(res.locals.visit), resource.name);
    const modeOk = mode === 'all-or-nothing' || mode === 'good-rows';
    if (!kept || !modeOk) {
      const wrong = kept
        ? 'Say whether all rows or only the good ones are to be imported.'
        : 'The file is no longer here: it is kept for half an hour after its preview. Choose it again.';
      return showImport(req, res, resource, { typed: '', wrong });
    }
    const result = await applyImport(services.db, resource, kept.bytes, { mode, by: nameOf(req) });
    forgetUpload(String(ticket));
    showPage(
      req,
      res,
      'resource/importResult',
      {
        title: `Import ${resource.plural}: result`,
        under: `/${resource.name}`,
        resource,
        name: kept.name,
        result,
        ...faultLines(result.faults),
        grouped,
      },
      result.imported ? 200 : 422,
    );
  };
}

function whatIsWrong(
  body: Record<string, unknown>,
  upload: Upload | undefined,
  typed: string,
): string | undefined {
  const unknown = Object.keys(body).find((name) => name !== 'table');
  if (unknown) return `The import form has no field "${unknown}"; it has file and table.`;
  if (upload && typed.trim() !== '') return 'There is both a file and a pasted table. Give one of them.';
  if (!upload && typed.trim() === '') return 'Neither a file was chosen nor a table pasted.';
  if (upload && upload.bytes.length === 0) return `The file ${upload.name} is empty.`;
  return undefined;
}

function faultLines(faults: readonly Fault[]) {
  return {
    faults: faults.slice(0, MOST_FAULTS_SHOWN),
    moreFaults: Math.max(0, faults.length - MOST_FAULTS_SHOWN),
    faultyRows: new Set(faults.map((fault) => fault.row)).size,
  };
}

interface ImportState {
  /** The pasted table, as it was typed. */
  typed: string;
  wrong: string | undefined;
}

function showImport(req: Request, res: Response, resource: Resource, state: ImportState): void {
  const columns = resource.fields.map((field) => ({
    field,
    head: fieldHead(field),
    right: columnWords(field),
  }));
  const model = {
    title: `Import ${resource.plural}`,
    under: `/${resource.name}`,
    resource,
    columns,
    limitMb: MAX_UPLOAD_BYTES / 1_000_000,
    ...state,
  };
  showPage(req, res, 'resource/import', model, state.wrong ? 422 : 200);
}

const KIND_WORDS: Partial<Record<Field['kind'], string>> = {
  code: 'the code, unique',
  date: 'a day, yyyy-mm-dd',
  dates: 'days, yyyy-mm-dd, with a space or ; between them',
  yesNo: 'yes or no',
  references: 'codes, with a space or ; between them',
  rollMap: 'bad places, one a line or with | between them',
  count: 'a whole number',
  note: 'text',
};

function columnWords(field: Field): string {
  if (field.options) return field.options.join(', ');
  if (field.kind === 'reference') return field.to ? `a code from ${field.to}` : 'code of a product or grade';
  return KIND_WORDS[field.kind] ?? (field.unit ? `a number in ${field.unit}` : 'text');
}
