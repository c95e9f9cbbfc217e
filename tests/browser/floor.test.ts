// The pages of the floor in a browser: an operator records a set on a tablet and meets a refusal, run cards print on whole
// pages of A4 and Letter with nothing lost, and all pages from the machine to dispatch keep the rules of WCAG 2.2 AA.
import { AxeBuilder } from '@axe-core/playwright';
import type { Knex } from 'knex';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { seedPlant } from '../../src/usecases/seedPast.ts';
import { saveScreenshot, startBrowser } from '../support/browser.ts';
import { freshDatabase } from '../support/database.ts';
import { act, storePlanOf } from '../support/machine.ts';
import { startServer, type TestServer } from '../support/server.ts';

const TODAY = '2027-03-01' as IsoDate;
const TABLET = { width: 800, height: 1280 };
const browser: Browser | undefined = await startBrowser();
let db: Knex;
let server: TestServer;
let release: number;
let runs: number;
let sscc: string;
let coating: number;
let received: string;

beforeAll(async () => {
  if (!browser) return;
  db = await freshDatabase();
  await seedPlant(db, TODAY, '9521234');
  const { id } = await storePlanOf(db, TODAY, ['SO-4101', 'SO-4102', 'SO-4105']);
  const released = await releasePlan(db, id, { ...act('Olga'), runs: 'all', today: TODAY });
  if (!released.ok) throw new Error(JSON.stringify(released.faults));
  release = released.id;
  runs = await db('released_runs')
    .where({ release })
    .pluck('sequence')
    .then((all) => all.length);
  sscc = await db('packages')
    .where('status', 'open')
    .first('sscc')
    .then((row) => row.sscc);
  coating = await db('coating_runs')
    .first('entry')
    .then((row) => row.entry);
  received = await db('received_rolls')
    .first('roll')
    .then((row) => row.roll);
  server = await startServer(db, TODAY);
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

async function visit(
  path: string,
  viewport = { width: 1280, height: 1000 },
): Promise<{ page: Page; faults: string[] }> {
  const context = await browser!.newContext({ viewport });
  context.setDefaultTimeout(60_000);
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  await page.goto(server.url + path);
  return { page, faults };
}

describe.skipIf(!browser)('recording on a tablet', () => {
  it('keeps what was typed when the roll does not hold it, then records, and nothing stands out of the page', async () => {
    const { page, faults } = await visit(`/releases/${release}/runs/1/record`, TABLET);
    const wider = () => page.evaluate<number>('document.documentElement.scrollWidth - window.innerWidth');
    expect(await wider()).toBeLessThanOrEqual(0);
    await page.fill('#sets', '199');
    await page.fill('#by', 'Olga');
    await page.press('#by', 'Enter');
    await page.waitForSelector('.stop-note');
    expect(await page.textContent('.stop-note')).toContain('holds');
    expect(await page.inputValue('#sets')).toBe('199');
    await page.fill('#sets', '1');
    await page.press('#sets', 'Enter');
    await page.waitForSelector('.done-note');
    expect(await wider()).toBeLessThanOrEqual(0);
    const targets = await page.$$eval(
      '.floor button, .floor input:not([type=hidden]), .floor select',
      (all) =>
        all
          .map((one) => one.getBoundingClientRect())
          .flatMap(({ width, height }) => (width > 0 ? [Math.min(width, height)] : [])),
    );
    expect(Math.min(...targets)).toBeGreaterThanOrEqual(24);
    await saveScreenshot(page, 'record-on-a-tablet');
    expect(faults).toEqual([]);
    await page.context().close();
  });
});

describe.skipIf(!browser)('run cards on paper', () => {
  it.each(['A4', 'Letter'])('print on %s: a front and a back for each run', async (format) => {
    const { page } = await visit(`/releases/${release}/card`);
    const pdf = (await page.pdf({ format })).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(2 * runs);
    await page.emulateMedia({ media: 'print' });
    const sizes = (of: string) =>
      page.evaluate<number[]>(
        `[...document.querySelectorAll('${of}')].map((one) => Number.parseFloat(getComputedStyle(one).fontSize))`,
      );
    const smallest = Math.min(...(await sizes('.card .front :is(td, th, dd, p, h3)')));
    // 11 points; what is set and cut stands in 14 and more.
    expect(smallest).toBeGreaterThanOrEqual(14.6);
    const knives = Math.min(...(await sizes('.card .knives')));
    expect(knives).toBeGreaterThanOrEqual(24);
    await page.context().close();
  });
});

describe.skipIf(!browser)('the pages of the floor', () => {
  it.each<[string, () => string]>([
    ['what is at the machines', () => '/machine'],
    ['a release', () => `/releases/${release}`],
    ['recording', () => `/releases/${release}/runs/1/record`],
    ['a run card', () => `/releases/${release}/runs/1/card`],
    ['a roll at the machine', () => '/rolls/C000001'],
    ['dispatch', () => '/dispatch'],
    ['packing', () => '/pack/SO-3992'],
    ['a package', () => `/packages/${sscc}`],
    ['a pack list', () => '/orders/SO-3991/pack-list'],
    ['labels of a package', () => `/packages/${sscc}/labels`],
    ['labels of finished rolls', () => '/labels?roll=F0000001&roll=F0000002'],
    ['a correction', () => '/rolls/F0000061/correct'],
    ['a return', () => '/rolls/F0000001/return'],
    ['a coating record', () => `/coatings/${coating}`],
    ['a correction of what was received', () => `/rolls/${received}/correct`],
    ['the family of a lot', () => '/lots/OV-2207'],
    ['yield', () => '/yield'],
    ['the audit', () => '/audit'],
  ])('%s keeps the rules of accessibility', async (_name, path) => {
    const { page, faults } = await visit(path());
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
    for (const closed of await page.$$('main details:not([open]) > summary')) await closed.click();
    const { violations, passes } = await new AxeBuilder({ page }).withTags(tags).analyze();
    expect(passes.length).toBeGreaterThan(5);
    expect(violations.map((one) => `${one.id} at ${one.nodes.map((n) => n.target).join(', ')}`)).toEqual([]);
    expect(await page.$eval('h1', (one) => one.textContent)).toBeTruthy();
    expect(faults).toEqual([]);
    await page.context().close();
  });
});
