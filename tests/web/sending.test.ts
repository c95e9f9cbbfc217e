// The pages of packing and dispatch: what a person at the bench does, and what they are told.

import { beforeAll, describe, expect, it } from 'vitest';
import { scrapFinished } from '../../src/usecases/machine/correctFinished.ts';
import { freshDatabase } from '../support/database.ts';
import { sendingPlant, TODAY } from '../support/sending.ts';
import { behindPages, type Plant, Visitor } from './plant.ts';

describe('packing and dispatch', () => {
  let plant: Plant;
  beforeAll(async () => {
    const db = await freshDatabase();
    await sendingPlant(db);
    plant = behindPages(db, TODAY);
  });

  /** Fields of the form on a page, as a browser would send them when nothing is changed. */
  async function form(path: string) {
    const visitor = new Visitor(plant.app);
    const page = await visitor.open(path);
    const ticked = [...page.text.matchAll(/name="roll" value="([^"]+)"[^>]* checked/g)].map(
      ([, code]) => code as string,
    );
    const requestKey = /name="requestKey" value="([^"]+)"/.exec(page.text)?.[1] ?? '';
    const send = (fields: Record<string, string | string[]>) =>
      visitor.send(path, { requestKey, by: 'Pia', ...fields } as Record<string, string>);
    return { page, ticked, send };
  }
  const packed = async (order: string, rolls: string[]) => {
    const { send } = await form(`/pack/${order}`);
    return String((await send({ roll: rolls })).headers.location).replace(/\?.*/, '');
  };

  it('shows which orders have rolls ready, and what each may still get', async () => {
    const { page } = await form('/dispatch');
    expect(page.text).toContain('16 finished rolls to pack for 3 orders; 0 packages open.');
    expect(page.text).toContain('>9 to 11<');
    expect(page.text).toContain('href="/pack/T10"');
  });

  it('ticks as many rolls as may be sent, and puts them into a new package', async () => {
    const { page, ticked, send } = await form('/pack/T10');
    expect(page.text).toContain(
      'at least 9 and at most 11 may be sent: 0 sent, 0 packed, 9 to 11 still to pack.',
    );
    expect(ticked).toHaveLength(11);
    const answer = await send({ roll: ticked.slice(0, 2), into: '' });
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toMatch(/^\/packages\/\d{18}\?did=packed$/);
    const twice = await send({ roll: ticked.slice(0, 2), into: '' });
    expect(twice.headers.location).toBe(answer.headers.location);
  });

  it('keeps what was ticked when nothing could be packed: no name, no roll, too many, one that is gone', async () => {
    const { send } = await form('/pack/T10');
    const nameless = await send({ roll: ['F3', 'F5'], by: ' ' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('Give your name');
    expect([...nameless.text.matchAll(/value="(F\d+)"[^>]* checked/g)].map(([, code]) => code)).toEqual([
      'F3',
      'F5',
    ]);
    const none = await send({});
    expect(none.status).toBe(422);
    expect(none.text).toContain('no roll is ticked');
    const gone = await send({ roll: ['F1', 'F3'] });
    expect(gone.status).toBe(409);
    expect(gone.text).toMatch(/Roll F1 is in package \d{18} already: Pia packed it/);
    const free = ['F2', 'F3', 'F4', 'F5', 'F6', 'F7', 'F8', 'F9', 'F11', 'F12'];
    const many = await send({ roll: free });
    expect(many.status).toBe(409);
    expect(many.text).toContain('so 9 more may be packed, not 10');
  });

  it('asks before too few rolls leave, sends when that is right, and shows the pack list', async () => {
    const href = await packed('T2', ['S1']);
    const { send } = await form(href);
    const asked = await send({ do: 'dispatch' });
    expect(asked.status).toBe(422);
    expect(asked.text).toContain('Order T2 would have 1 roll with this package, but takes at least 2.');
    const sent = await send({ do: 'dispatch', short: 'right' });
    expect(sent.headers.location).toBe(`${href}?did=dispatch`);
    const list = await new Visitor(plant.app).open('/orders/t2/pack-list');
    expect(list.text).toContain('1 roll in 1 package, 300 m, 0.15 kg net');
    expect(list.text).toMatch(/class="sscc"[^>]*viewBox="0 0 \d+ 30"/);
    expect(list.text).toContain('not valid in trade');
  });

  it('prints a label for the package and for each of its rolls', async () => {
    const href = await packed('T3', ['O1', 'O2']);
    const page = await new Visitor(plant.app).open(`${href}/labels`);
    expect(page.status).toBe(200);
    expect(page.text.match(/class="rollLabel"/g)).toHaveLength(2);
    expect(page.text).toMatch(/\(01\)99521234\d{6}<br>/);
    expect(page.text).toContain('(10)L-77<br>(21)O1<br>');
    expect(page.text).toMatch(/\(00\) 19521234\d{10}/);
    expect(page.text).toContain('O1 does not carry (8001): its core is not entered.');
  });

  it('leads from the label of a finished roll to its GS1 label', async () => {
    const page = await new Visitor(plant.app).open('/rolls/F12/label');
    expect(page.headers.location).toBe('/labels?roll=F12');
  });

  it('prints the label of a roll that was sent with what it took along, and of a void one without a size', async () => {
    const [sent] = await plant.db('rolls').where({ kind: 'finished', status: 'dispatched' }).pluck('code');
    const [scrapped] = await plant
      .db('rolls')
      .where({ kind: 'finished', status: 'released' })
      .whereNotIn('code', plant.db('package_rolls').select('roll'))
      .orderBy('code', 'desc')
      .pluck('code');
    await plant.db('rolls').whereIn('code', [sent, scrapped]).update({ core_inside_um: 25_400 });
    expect((await new Visitor(plant.app).open(`/labels?roll=${sent}`)).text).toContain('00300025');
    const act = { by: 'Paul', requestKey: 'scrap-for-label', reason: 'dirt' };
    expect((await scrapFinished(plant.db, scrapped, 'dirt', act)).ok).toBe(true);
    const page = await new Visitor(plant.app).open(`/labels?roll=${scrapped}`);
    expect(page.status).toBe(200);
    expect(page.text).toContain(`${scrapped} does not carry (8001): there is less than 1 m on it.`);
  });

  it('takes rolls out and undoes a package', async () => {
    const href = await packed('T10', ['F6', 'F7']);
    const { send } = await form(href);
    expect((await send({ do: 'take-out' })).text).toContain('no roll is ticked');
    expect((await send({ do: 'take-out', roll: 'F6' })).status).toBe(303);
    const { send: again } = await form(href);
    expect((await again({ do: 'undo' })).headers.location).toBe(`${href}?did=undo`);
    const { send: late } = await form(href);
    expect((await late({ do: 'undo' })).text).toContain('is undone already');
  });

  it('takes a roll back that was sent, with a reason, on hold', async () => {
    const { send } = await form('/rolls/S1/return');
    const nameless = await send({ reason: ' ' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('the reason is missing');
    expect((await send({ reason: 'starred' })).headers.location).toBe('/rolls/S1');
    expect((await plant.db('rolls').where('code', 'S1').first('status')).status).toBe('on hold');
    expect((await form('/rolls/S1/return')).page.text).toContain('It is on hold, so it cannot come back.');
  });

  it('knows no order, package or roll that does not exist', async () => {
    for (const path of [
      '/pack/none',
      '/packages/123',
      '/orders/none/pack-list',
      '/labels?roll=none',
      '/rolls/none/return',
    ])
      expect((await new Visitor(plant.app).open(path)).status, path).toBe(404);
  });
});
