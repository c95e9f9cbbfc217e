// A roll's own pages: decisions with who and why, its history in words, and the editor of its map.
import { beforeAll, describe, expect, it } from 'vitest';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  await visitor.open('/rolls');
});

const plain = (html: string): string => html.replaceAll('&#34;', '"').replaceAll('&#39;', "'");
const statusOf = async (code: string) => (await plant.db('rolls').where({ code }).first('status')).status;
const hiddenIn = (html: string, name: string) =>
  new RegExp(`name="${name}" value="([^"]*)"`).exec(html)?.[1] ?? '';

describe('deciding on a roll', () => {
  it('offers what the roll allows, and nothing else', async () => {
    const quarantined = await visitor.open('/rolls/R7011/status');
    for (const words of ['Release it', 'Put it on hold', 'Release it with a concession'])
      expect(quarantined.text).toContain(`>${words}</h2>`);
    const released = await visitor.open('/rolls/R7031/status');
    expect(released.text).not.toContain('>Release it</h2>');
    expect(released.text).not.toContain('Take the concession back');
  });

  it('asks for a reason and a name, keeps what was typed, and decides nothing before', async () => {
    const nameless = await visitor.send('/rolls/R7011/status', { decision: 'hold', reason: 'scratches' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('value="scratches"');
    expect(nameless.text).toContain('Give your name');
    const without = await visitor.send('/rolls/R7011/status', { decision: 'hold', reason: '', by: 'Mara' });
    expect(without.status).toBe(422);
    expect(await statusOf('R7011')).toBe('in quarantine');
  });

  it('is shown in the history of the roll, in plain words', async () => {
    const held = await visitor.send('/rolls/R7011/status', {
      decision: 'hold',
      reason: 'scratches',
      by: 'Mara',
    });
    expect(held.status).toBe(303);
    const page = plain((await visitor.open('/rolls/R7011')).text);
    expect(page).toContain('<b>Put on hold</b>');
    expect(page).toContain('was in quarantine, is now on hold');
    expect(page).toContain('Why: scratches');
    expect(page).toContain('18,000 m, 150.3 kg in: entered');
  });

  it('with a concession names who approved it until when, on the page of the roll too', async () => {
    const typed = { decision: 'concession', reason: 'trials only', by: 'Mara', approver: 'Dr Lind' };
    const past = await visitor.send('/rolls/R7011/status', { ...typed, until: '2027-02-01' });
    expect(past.status).toBe(422);
    expect(past.text).toContain('value="2027-02-01"');
    expect((await visitor.send('/rolls/R7011/status', { ...typed, until: '2027-05-01' })).status).toBe(303);
    expect((await visitor.open('/rolls/R7011')).text).toContain('until 2027-05-01, approved by Dr Lind');
  });

  it('that the roll does not allow is refused with 409', async () => {
    const again = await visitor.send('/rolls/R7011/status', { decision: 'release', reason: 'x', by: 'Mara' });
    expect(again.status).toBe(409);
    expect(again.text).toContain('it is released');
    const unknown = await visitor.send('/rolls/R7011/status', { decision: 'scrap', reason: 'x', by: 'Mara' });
    expect(unknown.status).toBe(409);
    expect((await visitor.open('/rolls/nobody/status')).status).toBe(404);
  });

  it('is not done in the plain form, which says where it is done', async () => {
    const form = await visitor.open('/rolls/R7031/edit');
    expect(form.text).not.toContain('name="status"');
    expect(form.text).toContain('href="/rolls/R7031/status"');
    const sent = await visitor.send('/rolls/R7031/edit', { status: 'on hold' });
    expect(sent.status).toBe(422);
    expect(await statusOf('R7031')).toBe('released');
  });
});

describe('first expired, first out', () => {
  it('stands on the page of a roll and in the list', async () => {
    expect((await visitor.open('/rolls/R7037')).text).toMatch(/Use it first: of \d+ rolls of CP-10/);
    const list = await visitor.open('/rolls?item=CP-10&sort=useBy');
    expect(list.text).toMatch(/<b>first<\/b>\s*<span class="soft">of \d+<\/span>/);
    expect((await visitor.open('/products/CP-10')).text).toContain('/rolls?item=CP-10&amp;sort=useBy');
  });
});

describe('the editor of a roll map', () => {
  it('states which end and which edge the numbers count from', async () => {
    const page = await visitor.open('/rolls/R7031/map');
    expect(page.text).toContain('>outer end</text>');
    expect(page.text).toContain('left: datum edge</text>');
    expect(page.text).toContain('inner end, at the core</text>');
    expect(page.text).toContain('data-length-m="12000" data-width-mm="1050"');
  });

  it('adds, changes and removes one place at a time without JavaScript', async () => {
    const send = async (fields: Record<string, string>, path = '/rolls/R7031/map') => {
      const page = await visitor.open(path);
      const hidden = { seen: hiddenIn(page.text, 'seen'), place: hiddenIn(page.text, 'place') };
      return visitor.send('/rolls/R7031/map', { ...hidden, by: 'Mara', ...fields });
    };
    const place = { fromMm: '100', toMm: '200', fromUm: '300', toUm: '306', kind: 'streak' };
    expect((await send({ ...place, do: 'add' })).status).toBe(303);
    const opened = await visitor.open('/rolls/R7031/map?place=1');
    expect(hiddenIn(opened.text, 'kind')).toBe('streak');
    expect(opened.text).toContain('Remove this place');
    await send({ ...place, toUm: '310', do: 'change' }, '/rolls/R7031/map?place=1');
    expect((await visitor.open('/rolls/R7031/map')).text).toContain('100-200 m, 300-310 mm, streak');
    const wrong = await send({ ...place, toMm: '99999', do: 'change' }, '/rolls/R7031/map?place=1');
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('value="99999"');
    await send({ do: 'remove' }, '/rolls/R7031/map?place=1');
    expect((await visitor.open('/rolls/R7031/map')).text).toContain('None is entered.');
    const page = plain((await visitor.open('/rolls/R7031')).text);
    expect(page).toContain('no longer: 100-200 m, 300-310 mm, streak');
  });
});
