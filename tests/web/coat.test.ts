// The page that records a coating run, and the record that it makes.
import { beforeAll, describe, expect, it } from 'vitest';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  await visitor.open('/coat');
});

const plain = (html: string): string => html.replaceAll('&#34;', '"').replaceAll('&#39;', "'");
const RUN = {
  product: 'CP-10',
  coatedOn: '2027-03-01',
  lot: 'INK-7',
  status: 'in quarantine',
  viscosity: '140',
  viscosityMin: '120',
  viscosityMax: '160',
  viscosityUnit: 'mPa s',
  startUpMm: '100',
};

describe('recording a coating run', () => {
  it('fills in the roll and the product that the address names', async () => {
    const page = await visitor.open('/coat?roll=R7004&product=CP-10');
    expect(page.text).toMatch(/id="bases-roll-0"[^>]*value="R7004"/);
    expect(page.text).toMatch(/id="i-product"[^>]*value="CP-10"/);
  });

  it('fills in the roll, and the product where only one is coated on its film', async () => {
    const { text } = await visitor.open('/coat?roll=R7006');
    expect(text).toMatch(/id="bases-roll-0"[^>]*value="R7006"/);
    expect(text).toMatch(/id="i-product"[^>]*value="CP-10"/);
    const open = (await visitor.open('/coat?roll=R7004')).text;
    expect(open).toMatch(/id="i-product"[^>]*value=""/);
    expect((await visitor.open('/coat?roll=nobody')).text).toMatch(/id="i-product"[^>]*value=""/);
  });

  it('keeps what was typed and says what is wrong by line', async () => {
    const sent = await visitor.send('/coat', {
      ...RUN,
      by: 'Cora',
      'bases-roll-0': 'R7004',
      'bases-roll-1': 'R7005',
      'bases-takenMm-1': '5',
    });
    expect(sent.status).toBe(422);
    expect(plain(sent.text)).toContain('Base roll, line 2</a>: roll R7005 is on hold');
    expect(sent.text).toMatch(/id="bases-takenMm-1"[^>]*value="5"/);
    const nameless = await visitor.send('/coat', { ...RUN, 'bases-roll-0': 'R7004' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('Give your name');
    expect(await plant.db('coating_runs').first()).toBeUndefined();
  });

  it('makes a record with its balance, its checks and its coated roll, once', async () => {
    const typed = {
      ...RUN,
      by: 'Cora',
      requestKey: 'coat-this-once',
      'bases-roll-0': 'R7004',
      'jumbos-code-0': 'C-1',
    };
    const sent = await visitor.send('/coat', typed);
    expect(sent.status).toBe(303);
    expect((await visitor.send('/coat', typed)).headers.location).toBe(sent.headers.location);
    const page = plain((await visitor.open(String(sent.headers.location))).text);
    expect(page).toContain('11,900 m coated, 100 m lost');
    expect(page).toContain('lost: coating start-up');
    expect(page).toContain('at least 120, at most 160');
    expect(page).toContain('film of R7004');
    const roll = plain((await visitor.open('/rolls/C-1')).text);
    expect(roll).toContain('in: made of <a href="/rolls/R7004">R7004</a>');
    const base = plain((await visitor.open('/rolls/R7004')).text);
    expect(base).toContain('11,900 m');
    expect(base).toContain('1 roll made of it: <a href="/rolls/C-1">C-1</a>');
    expect((await visitor.open('/coat')).text).toContain('>C-1</td>');
  });

  it('is taken back with a name and a reason, and says so', async () => {
    const address = (await visitor.open('/coat')).text.match(/href="(\/coatings\/\d+)"/)?.[1] as string;
    const nameless = await visitor.send(`${address}/undo`, {
      reason: 'wrong roll',
      requestKey: 'coat-back-1',
    });
    expect(nameless.status).toBe(422);
    const aimless = await visitor.send(`${address}/undo`, { by: 'Cora', requestKey: 'coat-back-2' });
    expect(aimless.text).toContain('Say why it is taken back');
    const form = { by: 'Cora', reason: 'wrong roll', requestKey: 'coat-back-3' };
    expect((await visitor.send(`${address}/undo`, form)).headers.location).toBe(`${address}?did=undone`);
    expect((await visitor.send(`${address}/undo`, form)).status).toBe(303);
    expect(plain((await visitor.open(address)).text)).toContain('Taken back by Cora:</b> wrong roll');
    expect((await visitor.open('/coat')).text).toContain('taken back');
    const again = await visitor.send(`${address}/undo`, { ...form, requestKey: 'coat-back-4' });
    expect(again.status).toBe(409);
  });

  it('says that there is no such record', async () => {
    expect((await visitor.open('/coatings/99999')).status).toBe(404);
  });
});
