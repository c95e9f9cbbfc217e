// A planner at the browser, from the first page to a checked plan: from the demo plant, from imported tables, without
// script, with a change of mind; and every page of the way through the accessibility rules of WCAG 2.2 AA.
import { AxeBuilder } from '@axe-core/playwright';
import type { Knex } from 'knex';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { saveScreenshot, startBrowser } from '../support/browser.ts';
import { freshDatabase } from '../support/database.ts';
import { startServer, type TestServer } from '../support/server.ts';

const TODAY = '2027-03-01' as IsoDate;
/** Tests may run on a busy machine with two cores. */
const PATIENCE_MS = 60_000;

const browser: Browser | undefined = await startBrowser();
let db: Knex;
let server: TestServer;
let context: BrowserContext;
let faults: string[] = [];

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
afterEach(async () => {
  await context?.close();
  expect(faults).toEqual([]);
  faults = [];
});

/** A page of a fresh visitor; whatever the browser complains about (script, content policy) fails the test. */
async function visit(path: string, options: Parameters<Browser['newContext']>[0] = {}): Promise<Page> {
  context = await browser!.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  context.setDefaultTimeout(PATIENCE_MS);
  const page = await context.newPage();
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(server.url + path);
  return page;
}

async function expectAccessible(page: Page, what: string): Promise<void> {
  const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
  const { violations, passes } = await new AxeBuilder({ page }).withTags(tags).analyze();
  expect(passes.length, what).toBeGreaterThan(5);
  expect(
    violations.map((one) => `${what}: ${one.id} at ${one.nodes.map((node) => node.target).join(', ')}`),
  ).toEqual([]);
}

/** Reads a plan's two files through the browser and checks the one against the other. */
async function expectChecked(page: Page): Promise<Plan> {
  const [plan, problem] = await Promise.all(
    ['plan.json', 'problem.json'].map(async (name) =>
      (await page.request.get(`${page.url()}/${name}`)).json(),
    ),
  );
  const read = parseProblem(problem);
  expect(read.ok).toBe(true);
  expect(read.ok && checkPlan(read.problem, plan)).toEqual([]);
  return plan;
}

/** Labels that reach out of their strip, measured as this browser draws them (as text: it runs in the page). */
const labelsOutside = (page: Page) =>
  page.evaluate<
    string[]
  >(`[...document.querySelectorAll('svg.field .shape, svg.pattern .shape')].flatMap((shape) => {
    const box = shape.querySelector('rect').getBoundingClientRect();
    return [...shape.querySelectorAll('text')]
      .filter((text) => {
        const drawn = text.getBoundingClientRect();
        return drawn.left < box.left - 0.5 || drawn.right > box.right + 0.5;
      })
      .map((text) => text.textContent);
  })`);

describe.skipIf(!browser)('a planner at the browser', { timeout: 180_000 }, () => {
  it('goes from the demo plant to a checked plan of CP-10, seeing it come', async () => {
    const page = await visit('/');
    await page.getByRole('link', { name: 'Plan the slitting' }).first().click();
    await page.getByRole('checkbox', { name: 'CP-10', exact: true }).check();
    expect(await page.locator('[data-ticked]').textContent()).toMatch(/^\d+ orders are ticked\.$/);
    await page.getByRole('button', { name: 'Plan the slitting' }).click();
    await page.waitForURL(/\/plans\/\d+$/);
    await page.getByRole('heading', { name: 'How each order comes out' }).waitFor();
    const plan = await expectChecked(page);
    expect(await page.locator('svg.pattern').count()).toBe(plan.runs.length);
    expect(await page.locator('svg.field .bed').count()).toBeGreaterThan(0);
    expect(await labelsOutside(page)).toEqual([]);
    await saveScreenshot(page, 'plan-cp-10');
    await expectAccessible(page, 'the plan');
    expect(server.errors).toEqual([]);
  });

  it('goes from imported tables of rolls and orders to a checked plan that meets the order', async () => {
    const page = await visit('/import/rolls');
    const bring = async (name: string, text: string) => {
      await page.goto(`${server.url}/import/${name}`);
      await page
        .getByLabel('File')
        .setInputFiles({ name: `${name}.csv`, mimeType: 'text/csv', buffer: Buffer.from(text) });
      await page.getByRole('button', { name: 'See what it would do' }).click();
      await page.getByRole('button', { name: /^Import/ }).click();
      await page.getByRole('link', { name: 'Go to the' }).waitFor();
    };
    await bring('rolls', 'Roll;Kind;Item;Width;Length;Status\r\nX-1;coated;CP-95;1050;6000,5;released\r\n');
    await bring(
      'orders',
      'Order;Customer;Product;Width;Length;Rolls;Due\r\nX-ORDER;C-04;CP-95;205,5;1500;12;2027-03-20\r\n',
    );
    await page.goto(`${server.url}/plans?order=X-ORDER`);
    expect(await page.getByRole('checkbox', { name: 'X-ORDER' }).isChecked()).toBe(true);
    await page.getByRole('button', { name: 'Plan the slitting' }).click();
    await page.getByRole('heading', { name: 'How each order comes out' }).waitFor();
    const plan = await expectChecked(page);
    expect(plan.orders).toMatchObject([{ id: 'X-ORDER', short: 0 }]);
    expect(await page.locator('.answer').textContent()).toMatch(/^The order is met from /);
    await saveScreenshot(page, 'plan-imported');
  });

  it('needs no script: ticks, waits on a page that loads itself anew, gets the plan', async () => {
    const page = await visit('/plans', { javaScriptEnabled: false });
    await page.getByRole('checkbox', { name: 'CP-95', exact: true }).check();
    await page.getByLabel('Time limit, seconds').fill('3');
    await page.getByRole('button', { name: 'Plan the slitting' }).click();
    await page.getByRole('heading', { name: 'How each order comes out' }).waitFor();
    expect(await page.locator('svg.field').count()).toBeGreaterThan(0);
  });

  it('can change her mind: cancels, and the plan says so', async () => {
    const page = await visit('/plans');
    for (const product of ['CP-10', 'CP-20', 'CP-30'])
      await page.getByRole('checkbox', { name: product, exact: true }).check();
    await page.getByLabel('Time limit, seconds').fill('600');
    await page.getByRole('button', { name: 'Plan the slitting' }).click();
    await page.locator('[data-seconds]', { hasText: 'seconds so far' }).waitFor();
    await expectAccessible(page, 'waiting');
    await saveScreenshot(page, 'plan-waiting');
    await page.getByRole('button', { name: 'Cancel this plan' }).click();
    await page.getByText('This plan was cancelled').waitFor();
  });

  it('runs a plan again and sees that it is the same', async () => {
    const page = await visit('/plans?product=CP-95');
    await page.getByRole('button', { name: 'Plan the slitting' }).click();
    await page.getByRole('button', { name: 'Run it again' }).click();
    await page.getByRole('link', { name: /^Compare with plan/ }).click();
    await page.getByText('it gave the same plan, equal in every figure').waitFor();
    await expectAccessible(page, 'two plans');
    await saveScreenshot(page, 'plans-compared');
  });

  it.each([
    '/',
    '/plans?product=CP-10&order=SO-4101',
    '/plans/all',
    '/plans/file',
    '/rolls',
    '/rolls/R7030',
    '/orders',
    '/new/rolls',
    '/import/orders',
    '/buy',
    '/answer',
  ])('finds %s accessible, and not wider than a phone', async (path) => {
    const page = await visit(path);
    await expectAccessible(page, path);
    await page.setViewportSize({ width: 400, height: 800 });
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(400);
    await saveScreenshot(page, `page${path.replace(/\W+/g, '-')}`);
  });
});
