// No plan leaves makePlan unchecked: what the planner returns is held against the problem by the independent checker.
import { expect, it } from 'vitest';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';

const small = {
  ...fixtureDocument(),
  orders: [{ id: 'A', product: 'CP-10', widthMm: 110, lengthM: 300, rolls: 27 }],
};

it('hands out a plan of the real planner', () => {
  const made = makePlan(small, { secondsLeft: () => 5, report: () => {} });
  expect(made).toMatchObject({ ok: true, plan: { orders: [{ id: 'A', planned: 27, short: 0 }] } });
});

it('never hands out a plan that breaks a limit, and says which', () => {
  const made = makePlan(fixtureDocument(), undefined, () => fixturePlan());
  expect(made).toMatchObject({ ok: false, why: 'plan' });
  expect(!made.ok && made.why === 'plan' && made.faults.join('\n')).toMatch(/runs\[\d\]/);
  expect(JSON.stringify(made)).not.toContain('lanewright-plan/1');
});

it('names the faults of a document that is not a problem, without planning', () => {
  const made = makePlan({ ...small, surprise: 1 }, undefined, () => {
    throw new Error('planned nevertheless');
  });
  expect(made).toMatchObject({ ok: false, why: 'problem', faults: [{ path: 'surprise' }] });
});
