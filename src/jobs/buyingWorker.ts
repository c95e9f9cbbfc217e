// The purchaser's heavy questions, in a worker thread: plain data in, the answer out, how far it is through a port.
import { performance } from 'node:perf_hooks';
import type { MessagePort } from 'node:worker_threads';
import type { BuyingState } from '../usecases/buying/buyingState.ts';
import { compareWidths, type WidthComparison } from '../usecases/buying/compareWidths.ts';
import { type BuyingProposal, proposeBuying } from '../usecases/buying/proposeBuying.ts';
import type { WidthQuestion } from '../usecases/buying/widthQuestion.ts';

/** What the purchaser asks, with what it takes to answer. */
export type BuyingQuestion =
  | { kind: 'proposal'; state: BuyingState }
  | { kind: 'widths'; question: WidthQuestion };

/** How far an answer is; `soFar` where a part of it can be shown already. */
export interface BuyingProgress {
  done: number;
  of: number;
  soFar?: WidthComparison;
}

export interface BuyingTask {
  asked: BuyingQuestion;
  seconds: number;
  port: MessagePort;
}

export function buyingInWorker({ asked, seconds, port }: BuyingTask): BuyingProposal | WidthComparison {
  const start = performance.now();
  const secondsLeft = () => seconds - (performance.now() - start) / 1000;
  const tell = (progress: BuyingProgress) => port.postMessage(progress);
  try {
    return asked.kind === 'proposal'
      ? proposeBuying(asked.state, { secondsLeft, report: (done, of) => tell({ done, of }) })
      : compareWidths(asked.question, {
          secondsLeft,
          report: (soFar) => tell({ done: soFar.done, of: soFar.of, soFar }),
        });
  } finally {
    port.close();
  }
}
