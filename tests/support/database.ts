// A migrated, empty database for a test file: a copy of the run's template, made in some hundredths of a second, and
// dropped when the file ends. `eachServer` gives the servers of this run, to test on all of them.
import { randomBytes } from 'node:crypto';
import type { Knex } from 'knex';
import { afterAll, inject } from 'vitest';
import { connect } from '../../src/store/connect.ts';
import type { TestServer } from './databaseServers.ts';

/** For `describe.each`: the embedded server, and the named one when there is one. */
export const eachServer = (): TestServer[] => inject('databaseServers');

/** Call it inside a `describe` or a `beforeAll`; the database goes when they end. Default: the embedded server. */
export async function freshDatabase(server: TestServer = eachServer()[0] as TestServer): Promise<Knex> {
  const name = `lanewright_test_${randomBytes(6).toString('hex')}`;
  const admin = connect(server.connection, 1);
  await admin.raw('create database ?? template ??', [name, server.template]);
  const db = connect({ ...server.connection, database: name }, 5);
  afterAll(async () => {
    await db.destroy();
    await admin.raw('drop database if exists ?? with (force)', [name]);
    await admin.destroy();
  });
  return db;
}
