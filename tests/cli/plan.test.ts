// The command as a user runs it: exit codes, what goes to which output, faults with their paths.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { cuttingStock, readCase } from '../readCases.ts';

const folder = mkdtempSync(join(tmpdir(), 'plan-command-'));
afterAll(() => rmSync(folder, { recursive: true }));

const root = new URL('../..', import.meta.url).pathname;
const NPM = ['npm', 'run', '--silent', 'plan', '--'];
/** What npm runs, without npm's own start. */
const DIRECT = [process.execPath, '--import', 'tsx', 'src/cli/plan.ts'];

function plan(args: string[], input?: string, [command, ...before] = DIRECT) {
  return spawnSync(command!, [...before, ...args], { cwd: root, encoding: 'utf8', input });
}

function fileOf(name: string, content: unknown): string {
  const path = join(folder, name);
  writeFileSync(
    path,
    typeof content === 'string' || content instanceof Uint8Array ? content : JSON.stringify(content),
  );
  return path;
}

const roll110 = readCase('textbook/roll-110');
const problem = cuttingStock(roll110.stock_widths, roll110.items);

describe('plan', () => {
  test('prints one checked plan on standard output and a summary on standard error, exit 0', () => {
    const { status, stdout, stderr } = plan([fileOf('good.json', problem)], undefined, NPM);
    expect(status).toBe(0);
    const printed = JSON.parse(stdout);
    const parsed = parseProblem(problem);
    expect(parsed.ok && checkPlan(parsed.problem, printed)).toEqual([]);
    expect(printed.cost.total).toBe(47);
    expect(stderr).toContain('Plan: the best there is (proved).');
    expect(stderr).toMatch(/Cost 47, bound 47/);
  });

  test('reads standard input when the file is -', () => {
    const { status, stdout } = plan(['-', '--seconds', '5'], JSON.stringify(problem));
    expect(status).toBe(0);
    expect(JSON.parse(stdout).format).toBe('lanewright-plan/1');
  });

  test('prints a plan also when orders fall short, and says which and why', () => {
    const scarce = structuredClone(problem);
    scarce.rolls![0]!.count = 40;
    const { status, stdout, stderr } = plan([fileOf('scarce.json', scarce)]);
    expect(status).toBe(0);
    const printed = JSON.parse(stdout);
    expect(printed.status).toBe('short');
    const short = printed.orders.filter((order: { short: number }) => order.short > 0);
    expect(short.length).toBeGreaterThan(0);
    for (const order of short) expect(stderr).toContain(`${order.id}: ${order.short} short`);
  });

  test('names every fault with its path on standard error and prints nothing on standard output, exit 2', () => {
    const faulty = structuredClone(problem);
    faulty.orders[0]!.rolls = 0;
    (faulty.orders[1] as Record<string, unknown>).colour = 'red';
    const { status, stdout, stderr } = plan([fileOf('faulty.json', faulty)]);
    expect(status).toBe(2);
    expect(stdout).toBe('');
    expect(stderr).toContain('not a valid problem, 2 faults');
    expect(stderr).toContain('orders[0].rolls: is 0; expected a whole number from 1');
    expect(stderr).toContain('orders[1].colour: is an unknown field');
  });

  test.each<[string, () => string[], string]>([
    ['an empty file', () => [fileOf('empty.json', '')], 'the file is empty'],
    ['no JSON', () => [fileOf('text.json', 'width;rolls\n83;45\n')], 'unexpected "w" at line 1, column 1'],
    ['another encoding', () => [fileOf('latin.json', new Uint8Array([0x22, 0xe9, 0x22]))], 'not UTF-8 text'],
    [
      'a file of 200 MB',
      () => [fileOf('large.json', Buffer.alloc(200 * 1024 * 1024, 0x20))],
      'at most 20 MB',
    ],
    ['a file that is not there', () => [join(folder, 'nowhere.json')], 'there is no such file'],
    ['a folder', () => [folder], 'is a folder'],
    ['no file at all', () => [], '0 files are named'],
    ['two files', () => ['a.json', 'b.json'], '2 files are named'],
    [
      'no seconds',
      () => [fileOf('s.json', problem), '--seconds', '0'],
      '--seconds: is "0"; expected a number above 0',
    ],
    ['seconds in words', () => [fileOf('s.json', problem), '--seconds', 'ten'], '--seconds: is "ten"'],
    ['an unknown option', () => [fileOf('s.json', problem), '--quick'], "Unknown option '--quick'"],
  ])('refuses %s with exit 2', (_title, args, message) => {
    const { status, stdout, stderr } = plan(args());
    expect(stderr).toContain(message);
    expect(stdout).toBe('');
    expect(status).toBe(2);
  });

  test('explains itself with --help', () => {
    const { status, stdout } = plan(['--help']);
    expect(status).toBe(0);
    expect(stdout).toContain('usage: npm run --silent plan -- PROBLEM.json');
  });
});
