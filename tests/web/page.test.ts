// A page that cannot be drawn is a bug of one request: it is answered with 500, and the next page comes as usual.
import { fileURLToPath } from 'node:url';
import express from 'express';
import { pino } from 'pino';
import request from 'supertest';
import { describe, expect, it } from 'vitest';
import { errorPages } from '../../src/web/errors.ts';
import { showPage } from '../../src/web/page.ts';

const app = express();
app.set('views', fileURLToPath(new URL('../../views', import.meta.url)));
app.set('view engine', 'ejs');
app.get('/broken', (req, res) => showPage(req, res, 'resource/list', { title: 'no model at all' }));
app.get('/missing', (req, res) => showPage(req, res, 'no-such-view', { title: 'no view' }));
app.get('/fine', (req, res) => showPage(req, res, 'find', { title: 'Find', wanted: '', found: [] }));
app.use(errorPages(pino({ level: 'silent' })));

describe('a page that cannot be drawn', () => {
  it.each(['/broken', '/missing'])('is answered with 500 in words: %s', async (path) => {
    const page = await request(app).get(path);
    expect(page.status).toBe(500);
    expect(page.text).toContain('This is a fault of the program');
    expect(page.text).not.toContain('.ejs');
    expect((await request(app).get('/fine')).status).toBe(200);
  });
});
