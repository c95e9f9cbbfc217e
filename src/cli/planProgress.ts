// One progress line on standard error: rewritten in place on a terminal, once a second in a file or pipe.
import type { WriteStream } from 'node:tty';
import type { PlanProgress } from '../domain/plan.ts';

const EVERY_MS = { terminal: 100, file: 1000 };

const amount = (cost: number | null) => (cost === null ? '-' : cost.toFixed(2));

/** Prints what the planner reports; `end` finishes the line. */
export function progressPrinter(
  out: WriteStream,
  start: number,
): { report(progress: PlanProgress): void; end(): void } {
  let printed = Number.NEGATIVE_INFINITY;
  let phase: string | undefined;
  return {
    report(progress) {
      const now = performance.now();
      const isNew = progress.phase !== phase && !out.isTTY;
      if (now - printed < (out.isTTY ? EVERY_MS.terminal : EVERY_MS.file) && !isNew) return;
      printed = now;
      phase = progress.phase;
      const line = [
        `${((now - start) / 1000).toFixed(1)} s`,
        progress.phase,
        `best ${amount(progress.bestCost)}`,
        `bound ${amount(progress.boundCost)}`,
        `${progress.columns} patterns`,
      ].join('  ');
      out.write(out.isTTY ? `\r\u001b[K${line}` : `${line}\n`);
    },
    end() {
      if (out.isTTY && phase !== undefined) out.write('\n');
    },
  };
}
