// Memory and punctuality: the largest instance of the benchmark library, the whole demo plant, and a plant with 5,000
// open order lines, each planned in a process of its own, as the plan command does: the most memory that the process
// ever had resident, the program itself included, and by how much it was later than its time limit.
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { readBenchmark } from '../readCases.ts';
import { fillManyOrders } from './manyOrders.ts';
import type { Measured } from './memoryOf.ts';
import { onScratchDatabase } from './scratchDatabase.ts';
import { documentOf } from './stockSection.ts';

const TODAY = '2027-03-01' as IsoDate;
const DEMO_ORDERS = 45;
const ORDERS = 5000;

export async function benchMemory(seconds: number): Promise<void> {
  console.log(`problem          orders     most MB   time of ${seconds} s       gap %`);
  for (const [name, document] of await problems()) {
    const { megabytes, spent, gapPct, orders } = measure(document, seconds);
    console.log(
      `${name.padEnd(14)} ${String(orders).padStart(8)} ${megabytes.toFixed(0).padStart(11)} ${spent.toFixed(1).padStart(11)} s ${gapPct.toFixed(2).padStart(11)}`,
    );
  }
}

async function problems(): Promise<[string, ProblemDocument][]> {
  const found: [string, ProblemDocument][] = [];
  const largest = readBenchmark().reduce((a, b) => (b.items.length > a.items.length ? b : a));
  found.push([largest.name, documentOf(largest)]);
  await onScratchDatabase(async (db) => {
    await seedDemo(db, TODAY);
    found.push(['demo plant', await buildProblem(db, { planOn: TODAY })]);
  });
  await onScratchDatabase(async (db) => {
    await fillManyOrders(db, TODAY, (_, inDemo) => Math.round((inDemo * ORDERS) / DEMO_ORDERS));
    found.push(['large plant', await buildProblem(db, { planOn: TODAY })]);
  });
  return found;
}

function measure(document: ProblemDocument, seconds: number): Measured {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lanewright-memory-'));
  try {
    const file = path.join(folder, 'problem.json');
    fs.writeFileSync(file, JSON.stringify(document));
    const program = path.join(import.meta.dirname, 'memoryOf.ts');
    const child = spawnSync(process.execPath, ['--import', 'tsx', program, file, String(seconds)], {
      encoding: 'utf8',
    });
    if (child.status !== 0) throw new Error(child.stderr);
    return JSON.parse(child.stdout);
  } finally {
    fs.rmSync(folder, { recursive: true, force: true });
  }
}
