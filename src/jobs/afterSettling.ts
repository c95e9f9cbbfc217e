// Work that follows changes: they often come together, so it begins a while after the last of them, one run at a time.
export interface Settling<Asked> {
  /** There was a change: runs the work a while after the last one. Returns at once. */
  soon(asked: Asked): void;
  /** Begins no more runs. @returns when the one that is under way has ended. */
  stop(): Promise<void>;
}

/** `failed` hears what a run throws. `againMs`: after a run the next, with what was asked last, when nothing changes meanwhile. */
export function afterSettling<Asked>(
  work: (asked: Asked) => Promise<void>,
  settleMs: number,
  failed: (error: unknown) => void,
  againMs?: number,
): Settling<Asked> {
  let timer: NodeJS.Timeout | undefined;
  let running: Promise<void> = Promise.resolve();
  let stopped = false;
  const within = (asked: Asked, ms: number) => {
    if (stopped) return;
    clearTimeout(timer);
    timer = setTimeout(() => {
      timer = undefined;
      running = running
        .then(() => (stopped ? undefined : work(asked)))
        .catch((error: unknown) => {
          if (!stopped) failed(error);
        })
        .then(() => {
          // a change meanwhile has its own turn, sooner
          if (againMs !== undefined && timer === undefined) within(asked, againMs);
        });
    }, ms).unref();
  };
  return {
    soon: (asked) => within(asked, settleMs),
    stop() {
      stopped = true;
      clearTimeout(timer);
      return running;
    },
  };
}
