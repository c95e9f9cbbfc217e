// The pages of the machine: releasing from a plan, run cards, recording on the page at the slitter, corrections.
import { beforeAll, describe, expect, it } from 'vitest';
import type { Plan, Run } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { storePlanOf } from '../support/machine.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
let id: number;
let plan: Plan;
let run: Run;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  ({ id, plan } = await storePlanOf(plant.db, '2027-03-01' as IsoDate, ['SO-4102']));
  [run] = plan.runs as [Run];
}, 60_000);

const all = () => Object.fromEntries(plan.runs.map(({ sequence }) => ['run', String(sequence)]));
const key = (n: number) => `page-test-key-${n}`;

describe('releasing from the page of a plan', () => {
  it('lists the runs, and asks for a name before anything is reserved', async () => {
    const page = await visitor.open(`/plans/${id}/release`);
    expect(page.status).toBe(200);
    for (const { sequence } of plan.runs)
      expect(page.text).toContain(`aria-label="Release run ${sequence}" checked`);
    const sent = await visitor.send(`/plans/${id}/release`, { ...all(), by: ' ', requestKey: key(1) });
    expect(sent.status).toBe(422);
    expect(sent.text).toContain('Give your name');
    expect(await plant.db('releases')).toEqual([]);
  });

  it('says what stands against it, with the ticks kept, and then releases', async () => {
    await plant.db('order_lines').where('code', 'SO-4102').update({ status: 'cancelled' });
    const wrong = await visitor.send(`/plans/${id}/release`, { run: '1', by: 'Olga', requestKey: key(2) });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('SO-4102: is cancelled, not open');
    await plant.db('order_lines').where('code', 'SO-4102').update({ status: 'open' });
    const sent = await visitor.send(`/plans/${id}/release`, { run: '1', by: 'Olga', requestKey: key(3) });
    expect(sent.headers.location).toBe('/releases/1');
    const again = await visitor.send(`/plans/${id}/release`, { run: '1', by: 'Olga', requestKey: key(3) });
    expect(again.headers.location).toBe('/releases/1');
    expect((await visitor.open('/releases/1')).text).toContain('Released by Olga');
  });
});

describe('the run card', () => {
  it('has knives, strips with order and shaft, the roll with its first metre, and the cautions', async () => {
    const { text } = await visitor.open('/releases/1/runs/1/card');
    for (const strip of run.strips) expect(text).toContain(`<b>${strip.toMm.toLocaleString('en-GB')}</b>`);
    expect(text).toContain('SO-4102');
    expect(text).toMatch(/class="shafts">A B/);
    expect(text).toContain(run.from[0]?.roll);
    expect(text).toContain('lead-in');
    expect(text).toContain('Where they differ, they win.');
    expect((await visitor.open('/releases/1/card')).status).toBe(200);
    expect((await visitor.open('/releases/1/runs/77/card')).status).toBe(404);
  });
});

describe('recording at the slitter', () => {
  const fields = { by: 'Olga', sets: '2', passed: '30', tail: '1,5', roll: '' };

  it('keeps what was typed when something is wrong, and says what would be right', async () => {
    const sent = await visitor.send('/releases/1/runs/1/record', {
      ...fields,
      roll: run.from[0]?.roll as string,
      sets: 'two',
      'what-1': 'scrap',
      cutOuts: 'somewhere, flag',
      requestKey: key(4),
    });
    expect(sent.status).toBe(422);
    expect(sent.text).toContain('&#34;two&#34; is not a number of sets');
    expect(sent.text).toContain('value="two"');
    expect(sent.text).toContain('somewhere, flag');
    expect(sent.text).toContain('<option value="scrap" selected>');
    expect(await plant.db('recordings')).toEqual([]);
  });

  it('records sets once, shows them, and undoes the latest with a reason', async () => {
    const roll = run.from[0]?.roll as string;
    const form = { ...fields, roll, requestKey: key(5) };
    const sent = await visitor.send('/releases/1/runs/1/record', form);
    expect(sent.headers.location).toContain('did=recorded');
    await visitor.send('/releases/1/runs/1/record', form);
    expect(await plant.db('recordings')).toHaveLength(2);
    const page = await visitor.open('/releases/1/runs/1/record');
    expect(page.text).toContain(`2 of ${run.sets} sets cut`);
    const entry = /name="entry" value="(\d+)"/.exec(page.text)?.[1] as string;
    const undo = { by: 'Olga', roll, entry, requestKey: key(6) };
    expect((await visitor.send('/releases/1/runs/1/undo', { ...undo, reason: '' })).status).toBe(422);
    const undone = await visitor.send('/releases/1/runs/1/undo', { ...undo, reason: 'wrong count' });
    expect(undone.headers.location).toContain('did=undone');
    expect((await visitor.open(`/plans/${id}`)).text).toContain('Planned and done');
  });

  it('answers a conflict in words when the roll does not hold what is recorded', async () => {
    const roll = run.from[0]?.roll as string;
    const sent = await visitor.send('/releases/1/runs/1/record', {
      ...fields,
      roll,
      sets: '199',
      requestKey: key(7),
    });
    expect(sent.status).toBe(409);
    expect(sent.text).toContain(`Roll ${roll} holds`);
    expect(sent.text).toContain('value="199"');
  });

  it('shows the machine with its run, and corrects a finished roll with a reason', async () => {
    expect((await visitor.open('/machine')).text).toContain(`1 of ${run.sets} sets cut`);
    const form = { by: 'Olga', length: '250', cause: '', reason: '', requestKey: key(8) };
    expect((await visitor.open('/rolls/F0000001')).text).toContain(
      'Made for order <a href="/orders/SO-4102">',
    );
    expect((await visitor.open('/rolls/F0000001/correct')).status).toBe(200);
    const wrong = await visitor.send('/rolls/F0000001/correct', form);
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('value="250"');
    const right = await visitor.send('/rolls/F0000001/correct', { ...form, reason: 'measured' });
    expect(right.headers.location).toBe('/rolls/F0000001');
    expect((await plant.db('rolls').where('code', 'F0000001').first()).length_mm).toBe(250_000);
  });
});

describe('a roll that is held while it is at the machine', () => {
  it('is shown as stopped wherever the operator looks, and its holder is told where it is', async () => {
    const roll = run.from[0]?.roll as string;
    const asked = await visitor.open(`/rolls/${roll}/status`);
    expect(asked.text).toContain('It is at the machine:');
    expect(asked.text).toContain('Olga released it (<a href="/releases/1">release 1</a>');
    const hold = { decision: 'hold', reason: 'streaks seen', by: 'Quinn', requestKey: key(9) };
    await visitor.send(`/rolls/${roll}/status`, hold);
    const page = await visitor.open(`/rolls/${roll}`);
    expect(page.text).toMatch(/It is at the machine<\/b>, but is on hold: <b>it may not be run/);
    for (const address of ['/machine', '/releases/1'])
      expect((await visitor.open(address)).text).toMatch(
        new RegExp(`Stop: roll <a href="/rolls/${roll}">${roll}</a> is on hold`),
      );
    expect((await visitor.open('/releases/1/runs/1/card')).text).toContain('Stop: it is on hold');
    expect((await visitor.open('/releases/1/runs/1/record')).text).toContain(
      `roll ${roll} is on hold, may not be run.`,
    );
    const form = { by: 'Olga', sets: '1', passed: '0', tail: '1.5', roll, requestKey: key(10) };
    const refused = await visitor.send('/releases/1/runs/1/record', form);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain(`Roll ${roll} is on hold and may not be run.`);
    await visitor.send(`/rolls/${roll}/status`, { ...hold, decision: 'release', requestKey: key(11) });
    expect((await visitor.open('/machine')).text).not.toContain('Stop: roll');
  });
});

describe('what the machine refuses', () => {
  const form = { by: 'Olga', sets: '1', passed: '0', tail: '1.5' };

  it('a run that was never released, by its page and by its form', async () => {
    const address = '/releases/1/runs/77/record';
    expect((await visitor.open(address)).status).toBe(404);
    const sent = await visitor.send(address, { ...form, roll: 'R7030', requestKey: key(12) });
    expect(sent.status).toBe(404);
    expect(sent.text).toContain('Run 77 is not part of release 1');
    expect((await visitor.send('/releases/99/runs/1/record', { ...form, requestKey: key(13) })).status).toBe(
      404,
    );
  });

  it('a roll that is not of the run, naming those that are', async () => {
    const before = (await plant.db('recordings')).length;
    const sent = await visitor.send('/releases/1/runs/1/record', {
      ...form,
      roll: 'R7040',
      requestKey: key(14),
    });
    expect(sent.status).toBe(409);
    expect(sent.text).toContain(`Roll R7040 is not part of run 1; the run is cut from ${run.from[0]?.roll}`);
    expect(await plant.db('recordings')).toHaveLength(before);
  });
});
