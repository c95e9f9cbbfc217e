// The curve of cost against set-ups on the plan page, and taking another of its plans. The plan is made by the planner
// from a small invented problem: 10 rolls of 300 mm and 7 of 450 mm, for which fewer set-ups mean more film.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemDocument.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { fixtureDocument } from '../support/planFixture.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
let problem: ProblemDocument;
let plan: Plan;

beforeAll(async () => {
  plant = await openPlant({ empty: true });
  visitor = new Visitor(plant.app);
  const { slitters, rolls = [], ...rest } = fixtureDocument();
  const order = (id: string, widthMm: number, many: number) => ({
    ...{ id, product: 'CP-10', widthMm, lengthM: 300, rolls: many },
  });
  problem = {
    ...rest,
    slitters: slitters.map((slitter) => ({ ...slitter, edgeTrimMaxMm: { left: 200, right: 200 } })),
    rolls: rolls.map((roll) => ({ ...roll, count: 3, defects: [] })),
    orders: [order('SO-1', 300, 10), order('SO-2', 450, 7)],
  };
  const made = makePlan(problem);
  if (!made.ok) throw new Error(JSON.stringify(made.faults));
  plan = made.plan;
  await visitor.open('/plans/all');
}, 120_000);
afterAll(() => plant.db.destroy());

/** Stores a plan by hand. @returns its number. */
async function stored(change: object = {}, status = 'done'): Promise<number> {
  const row = { title: 'CP-10, 2 orders', products: ['CP-10'], problem: JSON.stringify(problem) };
  const made = status === 'done' ? { plan: JSON.stringify({ ...plan, ...change }) } : {};
  const [{ id }] = await plant
    .db('plans')
    .insert({ ...row, ...made, status, seconds_limit: 20 })
    .returning('id');
  return id;
}
const countPlans = async () => Number((await plant.db('plans').count({ many: '*' }))[0]!.many);
const take = (id: number, alternative: string) => visitor.send(`/plans/${id}/choose`, { alternative });
const words = (html: string) => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');

describe('the curve of cost against set-ups', () => {
  it('has a point and a row for every plan of the curve, the one on the page marked', async () => {
    const many = plan.alternatives!.length;
    expect(many).toBeGreaterThan(0);
    const { text } = await visitor.open(`/plans/${await stored()}`);
    expect(text.match(/class="here"/g)).toHaveLength(1);
    expect(text.match(/class="there"/g)).toHaveLength(many);
    expect(text.match(/name="alternative"/g)).toHaveLength(many);
    expect(text.match(/>this plan</g)).toHaveLength(1);
  });
  it('counts two runs with the knives in the same places as one set-up', async () => {
    const one = plan.alternatives!.find((other) => other.cost.setups === 30)!;
    expect(one.runs.length).toBe(2);
    const { text } = await visitor.open(`/plans/${await stored({ ...one, alternatives: [] })}`);
    expect(words(text)).toMatch(/with 1 set-up\b/);
  });
  it('says what fewer set-ups would cost', async () => {
    const { text } = await visitor.open(`/plans/${await stored()}`);
    expect(words(text)).toMatch(
      /With 1 set-up setting up costs 31\.50 less, everything else 55\.37 more: 23\.87 EUR more in all/,
    );
  });
  it('is not shown for a plan that stands alone', async () => {
    const { text } = await visitor.open(`/plans/${await stored({ alternatives: undefined })}`);
    expect(text).not.toContain('id="curve"');
  });
});

describe('taking another plan of the curve', () => {
  it('stores it as a plan of its own from the same problem, and one can go back', async () => {
    const id = await stored();
    const answer = await take(id, '1');
    expect(answer.status).toBe(303);
    const taken = Number(/^\/plans\/(\d+)$/.exec(answer.headers.location!)![1]);
    const row = await plant.db('plans').where({ id: taken }).first();
    expect(row).toMatchObject({ status: 'done', parent_plan_id: id, title: 'CP-10, 2 orders' });
    expect(row.problem).toEqual(problem);
    expect(row.plan.runs).toEqual(plan.alternatives![0]!.runs);
    expect(row.plan.alternatives).toHaveLength(plan.alternatives!.length);
    expect(row.plan.alternatives.every((other: Plan) => other.alternatives === undefined)).toBe(true);

    const back = row.plan.alternatives.findIndex((other: Plan) => other.cost.total === plan.cost.total) + 1;
    const again = Number((await take(taken, String(back))).headers.location!.split('/').at(-1));
    const restored = (await plant.db('plans').where({ id: again }).first()).plan;
    expect(restored).toEqual(JSON.parse(JSON.stringify(plan)));
    const compared = await visitor.open(`/plans/compare?plan=${id}&plan=${taken}`);
    expect(words(compared.text)).toContain('they lie on one curve of cost against set-ups');
  });
  it.each(['', '0', '99', '-1', '1.5', 'x', '1e0', '__proto__'])(
    'refuses "%s" in words and stores nothing',
    async (asked) => {
      const id = await stored();
      const before = await countPlans();
      const answer = await take(id, asked);
      expect(answer.status).toBe(422);
      expect(words(answer.text)).toContain('on its curve');
      expect(await countPlans()).toBe(before);
    },
  );
  it('refuses while the plan is not done, and of a plan that does not exist', async () => {
    const answer = await take(await stored({}, 'queued'), '1');
    expect(answer.status).toBe(409);
    expect(words(answer.text)).toContain('is not finished');
    expect((await take(2147483647, '1')).status).toBe(404);
  });
  it('checks the plan again, and does not store one that breaks a limit', async () => {
    const [first, ...others] = plan.alternatives!;
    const broken = { ...first!, cost: { ...first!.cost, total: first!.cost.total - 1 } };
    const id = await stored({ alternatives: [broken, ...others] });
    const before = await countPlans();
    const answer = await take(id, '1');
    expect(answer.status).toBe(409);
    expect(words(answer.text)).toContain('breaks a limit of its problem');
    expect(await countPlans()).toBe(before);
  });
});
