// Everything that can go wrong with a request, turned into a page of plain words in this one place:
// a Problem of the request itself (status and words), a Refusal of a use case (code and facts), or a bug (500).
import { randomUUID } from 'node:crypto';
import type { ErrorRequestHandler, NextFunction, Request, RequestHandler, Response } from 'express';
import type { Logger } from 'pino';
import { Refusal, type RefusalCode, refusalWords } from '../domain/refusal.ts';
import { showPage } from './page.ts';

/** A request that cannot be served as it is: what is wrong, and what would be right. */
export class Problem extends Error {
  readonly status: number;
  readonly advice: string;
  constructor(status: number, wrong: string, advice: string) {
    super(wrong);
    this.status = status;
    this.advice = advice;
  }
}

/** The 404 for whatever no route has taken. */
export const nothingHere: RequestHandler = (req) => {
  throw new Problem(
    404,
    `There is no page at ${req.path}.`,
    'Use the links at the top, or search for the roll, order or product.',
  );
};

/** A refusal is a conflict with what is stored (409) unless said otherwise here. */
const REFUSAL_STATUS: Partial<Record<RefusalCode, number>> = {
  'not-found': 404,
  'run-not-released': 404,
  'nothing-to-plan': 422,
  'no-such-alternative': 422,
  'unreadable-file': 422,
  'planner-busy': 503,
};

interface LibraryError {
  status?: number;
  type?: string;
}

const LIBRARY_WORDS: Record<string, [string, string]> = {
  'entity.too.large': [
    'What was sent is larger than a form can be.',
    'Nothing was saved. Import a file in several parts.',
  ],
  'parameters.too.many': [
    'The form has more fields than any form here.',
    'Nothing was saved. Choose fewer lines at a time.',
  ],
  'encoding.unsupported': ['What was sent is compressed in an unknown way.', 'Send it uncompressed.'],
  'charset.unsupported': ['What was sent is in an unknown character set.', 'Send it as UTF-8.'],
  'request.aborted': ['The form did not arrive completely.', 'Nothing was saved. Send it again.'],
};

/** Errors of Express and its body parser, in our words; undefined for what is a bug. */
function asProblem(error: unknown): Problem | undefined {
  if (error instanceof Problem) return error;
  if (error instanceof Refusal) {
    const { wrong, todo } = refusalWords(error);
    return new Problem(REFUSAL_STATUS[error.code] ?? 409, wrong, todo);
  }
  if (error instanceof URIError)
    return new Problem(400, 'The address is not written correctly.', 'Check it.');
  const { status, type } = (error ?? {}) as LibraryError;
  if (status === undefined || status >= 500) return undefined;
  const [wrong, right] = LIBRARY_WORDS[type ?? ''] ?? [
    'The request cannot be read.',
    'Nothing was saved. Go back and send it again.',
  ];
  return new Problem(status, wrong, right);
}

const TITLES: Record<number, string> = {
  403: 'Not accepted',
  404: 'Not found',
  409: 'Not possible now',
  413: 'Too large',
  429: 'Too fast',
};

/** The last handler of the app: logs what is ours, tells the reader what to do. */
export function errorPages(log: Logger): ErrorRequestHandler {
  return (error: unknown, req: Request, res: Response, next: NextFunction) => {
    if (res.headersSent) return next(error);
    const problem = asProblem(error);
    const number = randomUUID().slice(0, 8);
    if (!problem) log.error({ err: error, number, path: req.path }, 'a bug: request failed');
    const status = problem?.status ?? 500;
    res.set('Cache-Control', 'no-store');
    showPage(
      req,
      res,
      'problem',
      {
        title: problem ? (TITLES[status] ?? 'Not possible') : 'Something failed here',
        wrong:
          problem?.message ??
          `This is a fault of the program, not of what you did. It is logged as ${number}.`,
        advice: problem?.advice ?? 'Nothing was half-saved. Try again; if it comes back, report the number.',
      },
      status,
    );
  };
}
