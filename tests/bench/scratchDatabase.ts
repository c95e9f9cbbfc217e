// A migrated database for a measurement, dropped afterwards: on the server that DATABASE_URL names, else on an embedded
// one in a folder of its own.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { Knex } from 'knex';
import { connect } from '../../src/store/connect.ts';
import { startEmbedded } from '../../src/store/embedded.ts';
import { migrate } from '../../src/store/migrate.ts';

/** Runs `work` on an empty database in the newest form. */
export async function onScratchDatabase(work: (db: Knex) => Promise<void>): Promise<void> {
  const url = process.env.DATABASE_URL;
  await (url ? onServer(url, work) : onEmbedded(work));
}

async function onServer(url: string, work: (db: Knex) => Promise<void>): Promise<void> {
  const name = `lanewright_bench_${process.pid}`;
  const admin = connect(url, 1);
  try {
    await admin.raw('create database ??', [name]);
    const own = new URL(url);
    own.pathname = `/${name}`;
    await migratedThen(own.href, work);
  } finally {
    await admin.raw('drop database if exists ?? with (force)', [name]);
    await admin.destroy();
  }
}

async function onEmbedded(work: (db: Knex) => Promise<void>): Promise<void> {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lanewright-bench-'));
  fs.chmodSync(folder, 0o755); // the account that root lends must be able to enter
  const embedded = await startEmbedded(folder, true, (error) => console.error(error));
  try {
    await migratedThen(embedded.connection, work);
  } finally {
    await embedded.stop();
    fs.rmSync(folder, { recursive: true, force: true });
  }
}

async function migratedThen(
  connection: Parameters<typeof connect>[0],
  work: (db: Knex) => Promise<void>,
): Promise<void> {
  const db = connect(connection);
  try {
    await migrate(db);
    await work(db);
  } finally {
    await db.destroy();
  }
}
