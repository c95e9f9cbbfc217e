// A migrated, empty database for a test file: a copy of the run's template, made in some hundredths of a second, and
// dropped when the file ends. `databaseServer` is the server of this run: see databaseServer.ts.
import { randomBytes } from 'node:crypto';
import type { Knex } from 'knex';
import { afterAll, inject } from 'vitest';
import { connect } from '../../src/store/connect.ts';
import type { TestServer } from './databaseServer.ts';

/** The server of this run: the one that DATABASE_URL names, else an embedded one. */
export const databaseServer = (): TestServer => inject('databaseServer');

/** Call it inside a `describe` or a `beforeAll`; the database goes when they end. A test that takes one for itself ends its connections. */
export async function freshDatabase(): Promise<Knex> {
  const server = databaseServer();
  const name = `lanewright_test_${randomBytes(6).toString('hex')}`;
  await asAdmin((admin) => admin.raw('create database ?? template ??', [name, server.template]));
  const db = connect({ ...server.connection, database: name }, 5);
  afterAll(async () => {
    await db.destroy();
    await asAdmin((admin) => admin.raw('drop database if exists ?? with (force)', [name]));
  });
  return db;
}

async function asAdmin(work: (admin: Knex) => Promise<unknown>): Promise<void> {
  const admin = connect(databaseServer().connection, 1);
  await work(admin);
  await admin.destroy();
}
