// Who may import whom (.dependency-cruiser.cjs), applied to the whole of src; and to planted violations, because a
// rule that sees no module, or forbids nothing, passes as well.
import { execFile } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const PROJECT = fileURLToPath(new URL('..', import.meta.url));
const CONFIG = '.dependency-cruiser.cjs';
const COMMAND = path.join(PROJECT, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs');

interface Seen {
  modules: { source: string }[];
  summary: { violations: { from: string; to: string; rule: { name: string } }[] };
}

/** What dependency-cruiser sees and forbids below the folder's src; it exits above 0 when something is forbidden. */
function cruise(folder: string): Promise<Seen> {
  const options = ['--config', CONFIG, '--output-type', 'json', 'src'];
  return new Promise((resolve, reject) => {
    execFile(
      process.execPath,
      [COMMAND, ...options],
      { cwd: folder, maxBuffer: 1e8 },
      (_exit, output, faults) => (output ? resolve(JSON.parse(output)) : reject(new Error(faults))),
    );
  });
}

const violations = ({ summary }: Seen) =>
  summary.violations.map(({ from, to, rule }) => `${rule.name}: ${from} -> ${to}`);

test('every module of src is seen, and none imports what it may not', async () => {
  const seen = await cruise(PROJECT);
  const ours = seen.modules.filter(({ source }) => source.startsWith('src/'));
  expect(ours.length).toBeGreaterThan(100);
  for (const layer of ['domain', 'planner', 'store', 'usecases', 'jobs', 'web', 'cli'])
    expect(ours.some(({ source }) => source.startsWith(`src/${layer}/`))).toBe(true);
  expect(violations(seen)).toEqual([]);
});

const PLANTED: Record<string, string> = {
  'src/domain/noun.ts': "import '../planner/pure.ts';",
  'src/planner/pure.ts': "import '../store/rows.ts';",
  'src/planner/clock.ts': "import 'node:fs';",
  'src/planner/solvers/highs.ts': "import 'highs';",
  'src/planner/other.ts': "import 'javascript-lp-solver';",
  'src/planner/rule.ts': 'export const rule = 1;',
  'src/planner/checkPlan.ts': "import './rule.ts';",
  'src/planner/one.ts': "import './two.ts';",
  'src/planner/two.ts': "import './one.ts';",
  'src/store/rows.ts': "import type { Verb } from '../usecases/verb.ts';\nexport type Row = Verb;",
  'src/usecases/verb.ts': "import '../planner/rule.ts';\nexport type Verb = string;",
  'src/jobs/queue.ts': "import '../planner/rule.ts';",
  'src/web/page.ts': "import '../store/rows.ts';",
  'src/cli/command.ts': "import '../web/page.ts';",
};

describe('a planted violation is caught', () => {
  const folder = mkdtempSync(path.join(os.tmpdir(), 'lanewright-architecture-'));
  let found: string[] = [];

  beforeAll(async () => {
    for (const file of [CONFIG, 'tsconfig.json'])
      copyFileSync(path.join(PROJECT, file), path.join(folder, file));
    symlinkSync(path.join(PROJECT, 'node_modules'), path.join(folder, 'node_modules'));
    for (const [file, text] of Object.entries(PLANTED)) {
      mkdirSync(path.join(folder, path.dirname(file)), { recursive: true });
      writeFileSync(path.join(folder, file), `${text}\n`);
    }
    found = violations(await cruise(folder));
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  test.each([
    ['domain-imports-nothing: src/domain/noun.ts -> src/planner/pure.ts'],
    ['planner-is-pure: src/planner/pure.ts -> src/store/rows.ts'],
    ['planner-has-no-io: src/planner/clock.ts -> fs'],
    ['only-lp-door-imports-the-lp-solver: src/planner/other.ts -> '],
    ['the-checker-stands-alone: src/planner/checkPlan.ts -> src/planner/rule.ts'],
    ['no-cycles: src/planner/one.ts -> src/planner/two.ts'],
    ['store-knows-only-domain: src/store/rows.ts -> src/usecases/verb.ts'],
    ['jobs: src/jobs/queue.ts -> src/planner/rule.ts'],
    ['web: src/web/page.ts -> src/store/rows.ts'],
    ['cli: src/cli/command.ts -> src/web/page.ts'],
  ])('%s', (violation) => {
    expect(found.some((line) => line.startsWith(violation))).toBe(true);
  });

  test('and nothing else: the door to the solvers and a use case of the planner pass', () => {
    expect(found.filter((line) => /highs\.ts|usecases: /.test(line))).toEqual([]);
  });
});
