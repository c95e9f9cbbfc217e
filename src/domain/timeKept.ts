// Of the time that somebody may still spend, a share kept for what comes after.
import type { PlanControl } from './plan.ts';

/** Seconds left when this share of those that are left now is kept; where nobody waits there is nothing to keep. */
export function keepingShare(secondsLeft: () => number, share: number): () => number {
  const left = secondsLeft();
  const kept = left < Infinity ? share * left : 0;
  return () => secondsLeft() - kept;
}

/** The control with such a share kept. */
export const keeping = (control: PlanControl, share: number): PlanControl => ({
  ...control,
  secondsLeft: keepingShare(() => control.secondsLeft(), share),
});
