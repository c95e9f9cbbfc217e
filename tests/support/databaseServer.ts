// Once for a test run: the PostgreSQL server that DATABASE_URL names, else an embedded one in a folder of its own; on it
// a migrated template database, of which tests take copies (database.ts).
import { randomBytes } from 'node:crypto';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { Knex } from 'knex';
import type { TestProject } from 'vitest/node';
import { connect } from '../../src/store/connect.ts';
import { startEmbedded } from '../../src/store/embedded.ts';
import { migrate } from '../../src/store/migrate.ts';

export interface TestServer {
  name: 'embedded' | 'named';
  connection: { host: string; user: string; database: string; port?: number; password?: string };
  template: string;
}

declare module 'vitest' {
  export interface ProvidedContext {
    databaseServer: TestServer;
  }
}

export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  const template = `lanewright_template_${randomBytes(5).toString('hex')}`;
  const url = process.env.DATABASE_URL;
  const { connection, stop } = url
    ? { connection: readUrl(url), stop: async () => {} }
    : await startEmbeddedServer();
  const server: TestServer = { name: url ? 'named' : 'embedded', connection, template };
  await makeTemplate(server);
  project.provide('databaseServer', server);
  return async () => {
    await onServer(server, (db) => db.raw('drop database if exists ??', [template]));
    await stop();
  };
}

async function startEmbeddedServer(): Promise<{
  connection: TestServer['connection'];
  stop(): Promise<void>;
}> {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lanewright-tests-'));
  fs.chmodSync(folder, 0o755); // the account that root lends must be able to enter
  const embedded = await startEmbedded(folder, true, (error) => console.error(error));
  const stop = async () => {
    await embedded.stop();
    fs.rmSync(folder, { recursive: true, force: true });
  };
  return { connection: embedded.connection, stop };
}

function readUrl(text: string): TestServer['connection'] {
  const url = new URL(text);
  return {
    host: url.hostname,
    port: Number(url.port || 5432),
    user: decodeURIComponent(url.username),
    password: decodeURIComponent(url.password),
    database: url.pathname.slice(1),
  };
}

async function makeTemplate(server: TestServer): Promise<void> {
  await onServer(server, (db) => db.raw('create database ??', [server.template]));
  await onServer({ ...server, connection: { ...server.connection, database: server.template } }, migrate);
}

async function onServer(server: TestServer, work: (db: Knex) => Promise<unknown>): Promise<void> {
  const db = connect(server.connection, 1);
  try {
    await work(db);
  } finally {
    await db.destroy();
  }
}
