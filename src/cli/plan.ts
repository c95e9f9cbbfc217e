// `npm run --silent plan -- PROBLEM.json [--seconds S]`: one problem file in, one checked plan as JSON on standard
// output; progress and a short summary on standard error. Exit 0: a plan (also when orders fall short). Exit 2: the
// problem or the command is invalid, every fault is named and nothing is printed on standard output. Exit 1: a bug.
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { LARGEST_TEXT_BYTES } from '../domain/jsonText.ts';
import { printFault } from '../domain/problemDocument.ts';
import { makePlan } from '../usecases/planning/makePlan.ts';
import { progressPrinter } from './planProgress.ts';
import { summarize } from './planSummary.ts';

const SECONDS_USUAL = 30;
const SECONDS_MOST = 86_400;
const USAGE = `usage: npm run --silent plan -- PROBLEM.json [--seconds S]

  PROBLEM.json  a lanewright-problem/1 document; - reads standard input
  --seconds S   longest time to improve the plan, up to ${SECONDS_MOST} (usual: ${SECONDS_USUAL})
  --help        this text

The plan (lanewright-plan/1) goes to standard output, everything else to standard error.
Exit 0: a plan was printed, also when orders fall short; 2: the problem is invalid; 1: a bug.
`;

/** What is wrong with the command line or the file itself. */
class InvalidUse extends Error {}

interface Arguments {
  file: string;
  seconds: number;
}

function readArguments(args: string[]): Arguments | 'help' {
  const { values, positionals } = parse(args);
  if (values.help) return 'help';
  if (positionals.length !== 1)
    throw new InvalidUse(
      `${positionals.length} files are named; expected one problem file, or - for standard input`,
    );
  const typed = values.seconds;
  const seconds = typed === undefined ? SECONDS_USUAL : Number(typed);
  if (typed?.trim() === '' || !(seconds > 0 && seconds <= SECONDS_MOST))
    throw new InvalidUse(
      `--seconds: is ${JSON.stringify(typed)}; expected a number above 0, at most ${SECONDS_MOST}`,
    );
  return { file: positionals[0]!, seconds };
}

function parse(args: string[]) {
  try {
    return parseArgs({
      args,
      options: { seconds: { type: 'string' }, help: { type: 'boolean', short: 'h' } },
      allowPositionals: true,
    });
  } catch (error) {
    throw new InvalidUse((error as Error).message);
  }
}

/** Reads a file or standard input, giving up just beyond the size that the document's own check refuses by name. */
function readBytes(file: string): Uint8Array {
  const descriptor = file === '-' ? 0 : open(file);
  const chunks: Buffer[] = [];
  let size = 0;
  while (size <= LARGEST_TEXT_BYTES) {
    const chunk = Buffer.alloc(1 << 16);
    const read = readChunk(descriptor, chunk, file);
    if (read === 0) break;
    chunks.push(chunk.subarray(0, read));
    size += read;
  }
  if (descriptor !== 0) closeSync(descriptor);
  return Buffer.concat(chunks);
}

function open(file: string): number {
  try {
    const descriptor = openSync(file, 'r');
    if (!fstatSync(descriptor).isDirectory()) return descriptor;
    closeSync(descriptor);
  } catch (error) {
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    throw new InvalidUse(`${file}: ${missing ? 'there is no such file' : (error as Error).message}`);
  }
  throw new InvalidUse(`${file}: is a folder; expected a problem file`);
}

function readChunk(descriptor: number, chunk: Buffer, file: string): number {
  for (;;) {
    try {
      return readSync(descriptor, chunk);
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      // A terminal or pipe that has nothing yet says so instead of waiting.
      if (code === 'EAGAIN') Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 20);
      else if (code === 'EOF') return 0;
      else throw new InvalidUse(`${file}: ${message}`);
    }
  }
}

/** Runs the command and gives its exit code. */
function run(args: string[]): number {
  const asked = readArguments(args);
  if (asked === 'help') {
    process.stdout.write(USAGE);
    return 0;
  }
  const start = performance.now();
  const progress = progressPrinter(process.stderr, start);
  const made = makePlan(readBytes(asked.file), {
    secondsLeft: () => asked.seconds - (performance.now() - start) / 1000,
    report: progress.report,
  });
  progress.end();
  if (!made.ok && made.why === 'problem') {
    const count = made.faults.length === 1 ? '1 fault' : `${made.faults.length} faults`;
    process.stderr.write(
      `${asked.file}: not a valid problem, ${count}:\n${made.faults.map(printFault).join('\n')}\n`,
    );
    return 2;
  }
  if (!made.ok) {
    process.stderr.write(
      `This is a bug of the planner, please report it with the problem file. Its plan breaks:\n`,
    );
    process.stderr.write(`${made.faults.join('\n')}\n`);
    return 1;
  }
  process.stdout.write(`${JSON.stringify(made.plan, null, 2)}\n`);
  process.stderr.write(summarize(made.plan, (performance.now() - start) / 1000));
  return 0;
}

try {
  process.exitCode = run(process.argv.slice(2));
} catch (error) {
  const invalid = error instanceof InvalidUse;
  process.stderr.write(
    invalid ? `${error.message}\n\n${USAGE}` : `This is a bug of the planner: ${(error as Error).stack}\n`,
  );
  process.exitCode = invalid ? 2 : 1;
}
