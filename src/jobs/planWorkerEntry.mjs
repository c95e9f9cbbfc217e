// What a worker thread loads first. Node 20 does not hand the loader of TypeScript down to worker threads, not even by
// --import, so this one file is JavaScript and loads the TypeScript worker itself.
import { tsImport } from 'tsx/esm/api';

export const {
  planInWorker,
  insightInWorker,
  questionInWorker,
  keptInWorker,
  refineInWorker,
  buyingInWorker,
} = await tsImport('./planWorker.ts', import.meta.url);
