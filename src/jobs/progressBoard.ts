// What is known about running plans right now, and who wants to hear of it. In memory: it changes ten times a second.
import type { Plan, PlanProgress } from '../domain/plan.ts';

/** `ended` closes the story: the plan's row then says how. */
export type PlanNews =
  | { kind: 'progress'; progress: PlanProgress }
  | { kind: 'first'; plan: Plan }
  | { kind: 'ended' };
export type Listener = (news: PlanNews) => void;

export interface ProgressBoard {
  /** The newest progress of a running plan; undefined when it has none or is not running. */
  latest(id: number): PlanProgress | undefined;
  publish(id: number, progress: PlanProgress): void;
  /** Tells all who listen of the first whole plan, checked; it is kept with the plan's row. */
  publishFirst(id: number, plan: Plan): void;
  /** Tells all who listen that the plan has ended, and forgets it. */
  end(id: number): void;
  /** @returns a function that ends the subscription. */
  subscribe(id: number, listener: Listener): () => void;
}

export function progressBoard(): ProgressBoard {
  const newest = new Map<number, PlanProgress>();
  const listeners = new Map<number, Set<Listener>>();
  const tell = (id: number, news: PlanNews) => {
    for (const listener of listeners.get(id) ?? []) listener(news);
  };
  return {
    latest: (id) => newest.get(id),
    publish(id, progress) {
      newest.set(id, progress);
      tell(id, { kind: 'progress', progress });
    },
    publishFirst: (id, plan) => tell(id, { kind: 'first', plan }),
    end(id) {
      newest.delete(id);
      tell(id, { kind: 'ended' });
      listeners.delete(id);
    },
    subscribe(id, listener) {
      const all = listeners.get(id) ?? new Set();
      listeners.set(id, all.add(listener));
      return () => {
        all.delete(listener);
        if (all.size === 0 && listeners.get(id) === all) listeners.delete(id);
      };
    },
  };
}
