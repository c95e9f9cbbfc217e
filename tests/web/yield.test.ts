// The yield page and its file: from sets that were released and recorded as at the machine.
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { recordSets } from '../../src/usecases/machine/recordSets.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { act, storePlanOf } from '../support/machine.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

const TODAY = '2027-03-01' as IsoDate;
const ALWAYS = 'from=2000-01-01&to=2100-01-01';

describe('the yield page', () => {
  let plant: Plant;
  let slitter: string;
  beforeAll(async () => {
    plant = await openPlant();
    const { db } = plant;
    const { id, plan } = await storePlanOf(db, TODAY, ['SO-4102']);
    const run = plan.runs[0];
    const roll = run?.from[0]?.roll;
    if (!run || !roll) throw new Error('nothing was planned');
    slitter = run.slitter;
    const released = await releasePlan(db, id, { ...act(), runs: 'all', today: TODAY });
    if (!released.ok) throw new Error(JSON.stringify(released.faults));
    const nothing = { cutOuts: [], exceptions: [], today: TODAY };
    await recordSets(db, released.id, run.sequence, {
      ...act(),
      ...nothing,
      roll,
      sets: 1,
      passedMm: 30_000,
      tailMm: 1500,
    });
  }, 60_000);
  const open = (path: string) => new Visitor(plant.app).open(path);

  it('gives the answer first, then causes, charts and each dimension', async () => {
    const { text, status } = await open(`/yield?${ALWAYS}`);
    expect(status).toBe(200);
    expect(text).toMatch(/[\d.]+ % of the film used became good rolls; planned for the same sets: [\d.]+ %/);
    expect(text).toMatch(/<th scope="row">edge trim<\/th>/);
    expect(text.match(/<svg class="curve yieldChart"/g)).toHaveLength(2);
    for (const head of ['By machine', 'By product', 'By supplier&#39;s lot', 'By week'])
      expect(text).toContain(head);
  });

  it('narrows to a machine, and says when nothing was cut', async () => {
    expect((await open(`/yield?${ALWAYS}&machine=${slitter}`)).text).toContain('edge trim');
    const none = await open(`/yield?${ALWAYS}&machine=nowhere`);
    expect(none.text).toContain('Nothing was cut or coated in these days.');
    expect(none.text).not.toContain('<svg class="curve');
  });

  it.each([
    ['from=1.2.2027', '&#34;1.2.2027&#34; is not a day'],
    ['from=2027-03-02&to=2027-03-01', 'the first day 2027-03-02 is after the last'],
  ])('refuses %s with 422', async (query, words) => {
    const page = await open(`/yield?${query}`);
    expect(page.status).toBe(422);
    expect(page.text).toContain(words);
  });

  it('gives the same facts as a file', async () => {
    const file = await open(`/export/yield.csv?${ALWAYS}`);
    expect(file.headers['content-type']).toContain('text/csv');
    const [head, ...lines] = file.text.replace('\ufeff', '').trim().split('\r\n');
    expect(head).toBe('week,machine,product,lot,cause,planned m2,actual m2,actual kg,cost EUR');
    expect(lines.length).toBeGreaterThan(3);
    expect(lines.every((line) => line.includes(`,${slitter},`))).toBe(true);
  });
});
