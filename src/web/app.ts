// The web application: the walls first, then assets, then bodies and tokens, then the pages, errors last.
// It listens nowhere itself; main.ts does, and tests call it directly.
import { randomBytes } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import compression from 'compression';
import express, { type Express, type RequestHandler } from 'express';
import { type Logger, pino } from 'pino';
import { DEMO_COMPANY_PREFIX } from '../domain/gs1.ts';
import type { IsoDate } from '../domain/units.ts';
import { errorPages } from './errors.ts';
import { formBody } from './formBody.ts';
import { askToken, giveToken } from './formToken.ts';
import { routes } from './routes.ts';
import { headers, notTooFast, onlyLoopback, onlyOwnPages } from './security.ts';
import type { Services } from './services.ts';
import { onlyWhoMayChange } from './whoIsAsking.ts';

interface AppParts {
  db: Services['db'];
  jobs: Services['jobs'];
  settings?: {
    /** pino's level; `silent` in tests. */
    logLevel?: string;
    /** Requests from one address in one minute before it is told to wait. */
    requestsPerMinute?: number;
    /** What the GS1 numbers of packages and products begin with. */
    companyPrefix?: string;
    /** The site's limit for lifting by hand, kg. */
    liftLimitKg?: number;
  };
  /** The plant's day; by default today on this computer's calendar. */
  today?: () => IsoDate;
}

const VIEWS = fileURLToPath(new URL('../../views', import.meta.url));
const REQUESTS_PER_MINUTE = 1200;
/** Default, verify: no source; the site's risk assessment sets it. */
const LIFT_LIMIT_KG = 25;

/** Today on this computer's calendar, yyyy-mm-dd. */
const todayHere = (): IsoDate => new Date().toLocaleDateString('sv-SE') as IsoDate;

/** The application, ready to listen. */
export function createApp({ db, jobs, settings = {}, today = todayHere }: AppParts): Express {
  const log = pino({ level: settings.logLevel ?? 'warn' });
  const app = express();
  app.disable('x-powered-by');
  app.set('views', VIEWS);
  app.set('view engine', 'ejs');
  app.enable('view cache');

  app.use(logged(log), headers, onlyLoopback, notTooFast(settings.requestsPerMinute ?? REQUESTS_PER_MINUTE));
  app.use(compression());
  app.use('/assets', express.static(`${VIEWS}/assets`, { index: false }));
  app.use(giveToken(randomBytes(32)));
  app.use(fresh, onlyOwnPages, onlyWhoMayChange, formBody, askToken);
  app.use(
    afterChanges(() => {
      jobs.questions.prepare(today());
      jobs.lateFilm.look(today);
    }),
  );
  app.use(
    routes({
      db,
      jobs,
      today,
      companyPrefix: settings.companyPrefix ?? DEMO_COMPANY_PREFIX,
      liftLimitKg: settings.liftLimitKg ?? LIFT_LIMIT_KG,
    }),
  );
  app.use(errorPages(log));
  return app;
}

/** Pages show stock as it is now and carry a form token: no cache may keep them. */
const fresh: RequestHandler = (_req, res, next) => {
  res.set('Cache-Control', 'no-store');
  next();
};

/** Calls `act` when a form was accepted: stock or orders may be others now. */
const afterChanges =
  (act: () => void): RequestHandler =>
  (req, res, next) => {
    if (req.method === 'POST') res.on('finish', () => res.statusCode < 400 && act());
    next();
  };

/** One line a request: method, path, status, time. Never the query or body, which may hold names. */
function logged(log: Logger): RequestHandler {
  return (req, res, next) => {
    const start = performance.now();
    const { path, method } = req;
    res.on('finish', () => {
      const ms = Math.round(performance.now() - start);
      log.info({ method, path, status: res.statusCode, ms }, 'request');
    });
    next();
  };
}
