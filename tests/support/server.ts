// The real app on a free port, with its jobs, on a given database; as src/main.ts puts it together.
import type { AddressInfo } from 'node:net';
import type { Knex } from 'knex';
import type { IsoDate } from '../../src/domain/units.ts';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { createApp } from '../../src/web/app.ts';

export interface TestServer {
  /** http://127.0.0.1:port */
  url: string;
  jobs: Jobs;
  /** What the jobs logged as errors. */
  errors: unknown[];
  stop(): Promise<void>;
}

/** Starts the app; `today` is the plant's day. */
export async function startServer(db: Knex, today: IsoDate): Promise<TestServer> {
  const errors: unknown[] = [];
  const log = { info: () => {}, error: (facts: object, words: string) => errors.push({ words, ...facts }) };
  const jobs = await startJobs(db, {}, log);
  const app = createApp({
    db,
    jobs,
    settings: { logLevel: 'silent', requestsPerMinute: 1e6 },
    today: () => today,
  });
  const server = app.listen(0, '127.0.0.1');
  await new Promise((resolve) => server.once('listening', resolve));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    jobs,
    errors,
    async stop() {
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await jobs.stop();
    },
  };
}

/** Waits until a plan has ended. Throws when that takes longer than `seconds`. */
export async function untilEnded(db: Knex, id: number, seconds = 60): Promise<string> {
  const end = Date.now() + seconds * 1000;
  while (Date.now() < end) {
    const row = await db('plans').where({ id }).first('status');
    if (row && !['queued', 'running'].includes(row.status)) return row.status;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`plan ${id} has not ended within ${seconds} s`);
}
