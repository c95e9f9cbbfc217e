// Starts Lanewright: settings -> database -> app -> listen, and stops it in the reverse order; nothing else.
// A refusal is printed in words, without a stack; anything else is a bug and shows where it happened.
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { pino } from 'pino';
import { Refusal } from './domain/refusal.ts';
import type { IsoDate } from './domain/units.ts';
import { startJobs } from './jobs/jobs.ts';
import { readSettings, type Settings } from './settings.ts';
import { openDatabase } from './store/database.ts';
import { seedPlant } from './usecases/seedPast.ts';
import { createApp } from './web/app.ts';

async function start(): Promise<void> {
  const settings = readSettings(process.env, process.argv.slice(2));
  const log = pino({ level: settings.logLevel });
  const database = await openDatabase(settings, (error) => fail(error));
  const parts: (() => Promise<unknown>)[] = [database.close];
  stopOnSignal(parts);
  try {
    const seeded = settings.seedDemo && (await seedPlant(database.db, today(), settings.companyPrefix));
    const jobs = await startJobs(database.db, settings, log);
    parts.unshift(jobs.stop);
    jobs.questions.prepare(today());
    jobs.lateFilm.look(today);
    const server = await listen(createApp({ db: database.db, jobs, settings }), settings);
    parts.unshift(() => close(server));
    const { port } = server.address() as AddressInfo;
    console.log(`Data: ${database.where}.${seeded ? ' The demo plant (invented) was put into it.' : ''}`);
    console.log(`Lanewright is ready: http://127.0.0.1:${port}`);
  } catch (error) {
    await stopAll(parts);
    throw error;
  }
}

/** Today on this computer's calendar. */
const today = (): IsoDate => new Date().toLocaleDateString('sv-SE') as IsoDate;

function listen(app: ReturnType<typeof createApp>, { port }: Settings): Promise<Server> {
  return new Promise((resolve, reject) => {
    const server = app.listen(port, '127.0.0.1', (error?: Error) => {
      if (!error) return resolve(server);
      const taken = (error as NodeJS.ErrnoException).code === 'EADDRINUSE';
      reject(taken ? new Refusal('port-in-use', { port }) : error);
    });
  });
}

/** Lets answers under way end for a moment, then closes what is left (live progress has no end of its own). */
async function close(server: Server): Promise<void> {
  const closed = new Promise((resolve) => server.close(resolve));
  server.closeIdleConnections();
  const cut = setTimeout(() => server.closeAllConnections(), 1000);
  await closed;
  clearTimeout(cut);
}

async function stopAll(parts: (() => Promise<unknown>)[]): Promise<void> {
  for (const stop of parts.splice(0)) await stop();
}

function stopOnSignal(parts: (() => Promise<unknown>)[]): void {
  let asked = false;
  const stop = () => {
    if (asked) return;
    asked = true;
    stopAll(parts).then(() => process.exit(0), fail);
  };
  process.on('SIGINT', stop);
  process.on('SIGTERM', stop);
}

function fail(error: unknown): never {
  console.error(error instanceof Refusal ? error.message : error);
  process.exit(1);
}

start().catch(fail);
