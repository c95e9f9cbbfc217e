// The stock pages in a browser: a bad place drawn with the pointer and one typed without script; and all pages of film that
// arrives and is coated through the accessibility rules of WCAG 2.2 AA.
import { AxeBuilder } from '@axe-core/playwright';
import type { Knex } from 'knex';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { startBrowser } from '../support/browser.ts';
import { freshDatabase } from '../support/database.ts';
import { startServer, type TestServer } from '../support/server.ts';

const TODAY = '2027-03-01' as IsoDate;
const browser: Browser | undefined = await startBrowser();
let db: Knex;
let server: TestServer;
beforeAll(async () => {
  if (!browser) return;
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  server = await startServer(db, TODAY);
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

async function visit(path: string, javaScriptEnabled = true): Promise<{ page: Page; faults: string[] }> {
  const context = await browser!.newContext({ viewport: { width: 1280, height: 1000 }, javaScriptEnabled });
  context.setDefaultTimeout(60_000);
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  await page.goto(server.url + path);
  return { page, faults };
}
const mapNow = (roll: string) => db('roll_defects').where({ roll }).orderBy('position');

describe.skipIf(!browser)('the editor of a roll map', () => {
  it('fills its form from a place that is dragged on the picture, and adds it', async () => {
    const { page, faults } = await visit('/rolls/R7031/map');
    const box = (await page.locator('svg.field rect.frame').boundingBox())!;
    // A tenth to a half of 1050 mm across, a quarter to a half of 12,000 m along.
    await page.mouse.move(box.x + box.width / 10, box.y + box.height / 4);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2, { steps: 5 });
    await page.mouse.up();
    const typed = async (name: string) => Number(await page.inputValue(`#i-${name}`));
    expect(Math.abs((await typed('fromMm')) - 3000)).toBeLessThan(60);
    expect(Math.abs((await typed('toMm')) - 6000)).toBeLessThan(60);
    expect(Math.abs((await typed('fromUm')) - 105)).toBeLessThan(4);
    expect(Math.abs((await typed('toUm')) - 525)).toBeLessThan(4);
    expect(await page.locator(':focus').getAttribute('id')).toBe('i-kind');
    const whole = { from_mm: (await typed('fromMm')) * 1000, to_um: (await typed('toUm')) * 1000 };
    await page.fill('#i-kind', 'light coat');
    await page.fill('#by', 'Mara');
    await page.click('button[value=add]');
    await page.waitForSelector('.done-note');
    expect(await mapNow('R7031')).toMatchObject([{ ...whole, kind: 'light coat' }]);
    expect(faults).toEqual([]);
    await page.context().close();
  });

  it('takes typed numbers by keyboard alone, without script', async () => {
    const { page } = await visit('/rolls/R7032/map', false);
    await page.fill('#i-fromMm', '1210');
    await page.fill('#i-toMm', '1210');
    await page.fill('#i-kind', 'flag');
    await page.fill('#by', 'Mara');
    await page.press('#by', 'Enter');
    await page.waitForSelector('.done-note');
    expect(await mapNow('R7032')).toMatchObject([{ from_mm: 1_210_000, to_mm: 1_211_000, kind: 'flag' }]);
    await page.context().close();
  });
});

describe.skipIf(!browser)('the pages of film that arrives and is coated', () => {
  it.each([
    '/receive',
    '/new/purchase-orders',
    '/purchase-orders',
    '/coat',
    '/rolls/R7011',
    '/rolls/R7011/status',
    '/rolls/R7033/map?place=1',
    '/rolls/R7033/label',
  ])('%s keeps the rules of accessibility', async (path) => {
    const { page, faults } = await visit(path);
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
    const { violations, passes } = await new AxeBuilder({ page }).withTags(tags).analyze();
    expect(passes.length).toBeGreaterThan(5);
    expect(violations.map((one) => `${one.id} at ${one.nodes.map((n) => n.target).join(', ')}`)).toEqual([]);
    expect(faults).toEqual([]);
    await page.context().close();
  });
});
