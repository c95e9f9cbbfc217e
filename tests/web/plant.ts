// A plant to test pages against: the demo plant in a database of its own, on a fixed day, behind the real application.
// `Visitor` keeps its cookie and form token like a browser does.
import type { Express } from 'express';
import type { Knex } from 'knex';
import request from 'supertest';
import type { IsoDate } from '../../src/domain/units.ts';
import type { Jobs } from '../../src/jobs/jobs.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { createApp } from '../../src/web/app.ts';
import { buyingAtOnce } from '../support/buying.ts';
import { freshDatabase } from '../support/database.ts';
import { think } from '../support/sales.ts';

const TODAY = '2027-03-01' as IsoDate;

export interface Plant {
  db: Knex;
  app: Express;
}

/** Questions are worked out here and looked at once; no second look. */
const questions: Jobs['questions'] = {
  think,
  refine: () => {},
  isRefining: () => false,
  prepare: () => {},
};

/** No plan is made by these tests: whoever wakes the jobs here has called something it should not. */
const noJobs = new Proxy({} as Jobs, {
  get: (_jobs, name) => {
    if (name === 'questions') return questions;
    if (name === 'buying') return buyingAtOnce;
    if (name === 'lateFilm') return { look: () => {} };
    throw new Error(`jobs.${String(name)} is not for these tests`);
  },
});

/** The demo plant behind its application; `empty` leaves the tables empty. Call it in a `beforeAll`. */
export async function openPlant(
  options: { empty?: boolean; requestsPerMinute?: number } = {},
): Promise<Plant> {
  const db = await freshDatabase();
  if (!options.empty) await seedDemo(db, TODAY);
  return behindPages(db, TODAY, options.requestsPerMinute);
}

/** The application over a database that is filled already. */
export function behindPages(db: Knex, today: IsoDate, requestsPerMinute = 1_000_000): Plant {
  const settings = { logLevel: 'silent', requestsPerMinute };
  return { db, app: createApp({ db, jobs: noJobs, settings, today: () => today }) };
}

/** Someone at a browser: first opens a page, then sends forms with its cookie and token. */
export class Visitor {
  readonly app: Express;
  cookie = '';
  token = '';
  constructor(app: Express) {
    this.app = app;
  }

  /** GET a page, keeping its cookie and form token. */
  async open(path: string) {
    const page = await request(this.app).get(path).set('Host', 'localhost:3000').set('Cookie', this.cookie);
    const set = page.headers['set-cookie']?.[0];
    if (set) this.cookie = String(set).split(';')[0] as string;
    this.token = /name="_token" value="([^"]+)"/.exec(page.text ?? '')?.[1] ?? this.token;
    return page;
  }

  /** POST the fields of a form. */
  send(path: string, fields: Record<string, string>) {
    return request(this.app)
      .post(path)
      .set('Host', 'localhost:3000')
      .set('Cookie', this.cookie)
      .type('form')
      .send({ _token: this.token, ...fields });
  }

  /** POST a file, or a pasted table, to an import page. */
  upload(path: string, what: { file?: Buffer; name?: string; table?: string }) {
    const post = request(this.app)
      .post(path)
      .set('Host', 'localhost:3000')
      .set('Cookie', this.cookie)
      .field('_token', this.token);
    if (what.table !== undefined) post.field('table', what.table);
    return what.file ? post.attach('file', what.file, what.name ?? 'rows.csv') : post;
  }
}
