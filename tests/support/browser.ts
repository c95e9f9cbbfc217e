// A real browser for the tests: Debian's chromium when it is installed, else the one from npm. When neither runs, a
// test run in CI fails, and one at home says loudly that the browser tests were left out.
import { existsSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';

const DEBIAN = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];
const QUIET = ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-dev-shm-usage'];
const SCREENSHOTS = fileURLToPath(new URL('../browser/screenshots', import.meta.url));

/** Starts a browser; undefined when none can run here and this is not CI. Throws in CI. */
export async function startBrowser(): Promise<Browser | undefined> {
  const reasons: string[] = [];
  for (const start of [installed, packaged]) {
    try {
      return await start();
    } catch (error) {
      reasons.push(String(error).split('\n')[0] ?? '');
    }
  }
  const words = `NO BROWSER CAN RUN HERE, the browser tests are left out: ${reasons.join('; ')}. Install chromium.`;
  if (process.env.CI) throw new Error(words);
  console.error(`\n${'!'.repeat(80)}\n${words}\n${'!'.repeat(80)}\n`);
  return undefined;
}

async function installed(): Promise<Browser> {
  const executablePath = DEBIAN.find((file) => existsSync(file));
  if (executablePath === undefined) throw new Error(`none of ${DEBIAN.join(', ')} is there`);
  return chromium.launch({ executablePath, args: QUIET });
}

/** On a bare image the package brings its own libraries, but unpacks them only when it believes to be on AWS. */
async function packaged(): Promise<Browser> {
  process.env.AWS_EXECUTION_ENV ??= 'AWS_Lambda_nodejs20.x';
  const { default: bundled } = await import('@sparticuz/chromium');
  const executablePath = await bundled.executablePath();
  const libraries = [path.join(path.dirname(executablePath), 'al2023', 'lib'), path.dirname(executablePath)];
  process.env.LD_LIBRARY_PATH = [...libraries, process.env.LD_LIBRARY_PATH].filter(Boolean).join(':');
  // Not the package's own arguments: as a single process it ends with the first context that is closed.
  return chromium.launch({ executablePath, args: QUIET });
}

/** Saves the whole page as tests/browser/screenshots/<name>.png (not kept in git). */
export async function saveScreenshot(page: Page, name: string): Promise<string> {
  await mkdir(SCREENSHOTS, { recursive: true });
  const file = path.join(SCREENSHOTS, `${name}.png`);
  await page.screenshot({ path: file, fullPage: true });
  return file;
}
