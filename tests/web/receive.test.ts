// The pages of film that arrives: preview, confirming, receiving, labels, purchase orders.
import { beforeAll, describe, expect, it } from 'vitest';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  await visitor.open('/receive');
});

const HEAD = {
  supplier: 'S1',
  receivedOn: '2027-03-01',
  numbers: 'our next numbers',
  item: 'BF-01',
  widthUm: '1050',
  lengthMm: '24000',
  tolerancePct: '2',
};
const plain = (html: string): string => html.replaceAll('&#34;', '"').replaceAll('&#39;', "'");
const keyIn = (html: string): string => /name="requestKey" value="([^"]+)"/.exec(html)?.[1] ?? '';

describe('receiving', () => {
  it('shows what would come in, and stores nothing yet', async () => {
    const page = await visitor.send('/receive', {
      ...HEAD,
      list: 'A-1 24000 158.2\nA-2 long 158',
      do: 'see',
    });
    expect(page.status).toBe(200);
    const text = plain(page.text);
    expect(text).toContain('<b>1 roll</b> would come in');
    expect(text).toContain('"long" is not a number');
    expect(text).toContain('Receive the one good roll, leave out 1');
    expect(await plant.db('received_rolls').first()).toBeUndefined();
  });

  it('keeps what was typed, and says what is wrong beside its field', async () => {
    const page = await visitor.send('/receive', { ...HEAD, supplier: 'S99', list: '', do: 'see' });
    expect(page.status).toBe(422);
    expect(plain(page.text)).toContain('there is no supplier S99');
    expect(page.text).toContain('value="S99"');
    expect(page.text).toContain('the roll list is empty');
  });

  it('asks for a name, and for the confirmation of what disagrees; then takes the rolls in and prints labels', async () => {
    const typed = { ...HEAD, list: 'B-1 24000 150\nB-2 24000 158.2' };
    const seen = await visitor.send('/receive', { ...typed, do: 'see' });
    const key = /name="confirm" value="([^"]+)"/.exec(plain(seen.text))?.[1] as string;
    const requestKey = keyIn(seen.text);
    const nameless = await visitor.send('/receive', { ...typed, confirm: key, do: 'all', requestKey });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('Give your name');
    const unconfirmed = await visitor.send('/receive', { ...typed, by: 'Mara', do: 'all', requestKey });
    expect(unconfirmed.status).toBe(422);
    expect(unconfirmed.text).toContain('1 roll must be confirmed or corrected first');
    const done = await visitor.send('/receive', {
      ...typed,
      by: 'Mara',
      confirm: key,
      do: 'all',
      requestKey,
    });
    expect(done.status).toBe(303);
    const again = await visitor.send('/receive', {
      ...typed,
      by: 'Mara',
      confirm: key,
      do: 'all',
      requestKey,
    });
    expect(again.headers.location).toBe(done.headers.location);
    const path = String(done.headers.location).replace(/\?.*/, '');
    const receipt = await visitor.open(path);
    expect(plain(receipt.text)).toContain('5.2 % less than the 24,000 m on its label');
    const labels = await visitor.open(`${path}/labels`);
    expect(labels.text.match(/<section class="label"/g)).toHaveLength(2);
    expect(labels.text).toMatch(/B\d{6}/);
    expect(labels.text).toMatch(/class="bars"[\s\S]*<path d="M10 0h2v40/);
    const code = /Label of roll (B\d{6})/.exec(labels.text)?.[1];
    expect((await visitor.open(`/rolls/${code}/label`)).text).toContain('24,000 m');
  });

  it('says that there is no such receipt', async () => {
    expect((await visitor.open('/receipts/999999')).status).toBe(404);
    expect((await visitor.open('/receipts/x/labels')).status).toBe(404);
  });
});

describe('the page of a received roll', () => {
  it('corrects what was entered of it, with a reason, and shows what stood there', async () => {
    const head = { supplier: 'S1', item: 'BF-01', widthUm: '1050', lot: 'L-1', receivedOn: '2027-03-01' };
    const how = {
      numbers: 'our next numbers',
      tolerancePct: '2',
      by: 'Rita',
      requestKey: 'receive-to-correct',
    };
    const list = 'WRONG-1 6000 39.55';
    const sent = await visitor.send('/receive', { ...head, ...how, list, do: 'all' });
    expect(sent.status).toBe(303);
    const { roll } = await plant.db('received_rolls').where('supplier_roll', 'WRONG-1').first();
    const address = `/rolls/${roll}/correct`;
    expect((await visitor.open(`/rolls/${roll}`)).text).toContain(`href="${address}"`);
    expect(plain((await visitor.open(address)).text)).toContain('now: 6,000 m');
    const form = {
      lengthMm: '5500',
      massKg: '',
      widthUm: '',
      lot: 'L-2',
      by: 'Rita',
      requestKey: 'correct-it-1',
    };
    const wrong = await visitor.send(address, { ...form, reason: '' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('value="5500"');
    const odd = await visitor.send(address, { ...form, reason: 'label read again' });
    expect(odd.text).toContain('its mass stands for 6,000 m');
    const right = { ...form, reason: 'label read again', confirmed: 'yes', requestKey: 'correct-it-2' };
    expect((await visitor.send(address, right)).headers.location).toBe(
      `/rolls/${roll}?did=corrected#history`,
    );
    const page = plain((await visitor.open(`/rolls/${roll}`)).text);
    expect(page).toContain('500 m in, taken back: received');
    expect(page).toContain('lot was L-1, is L-2');
  });
});

describe('purchase orders', () => {
  const LINE = {
    'lines-grade-0': 'BF-01',
    'lines-widthUm-0': '1050',
    'lines-lengthMm-0': '24000',
    'lines-rolls-0': '2',
  };

  it('are added with their lines, listed, opened, and offered where film is received', async () => {
    const form = await visitor.open('/new/purchase-orders');
    const requestKey = keyIn(form.text);
    const sent = await visitor.send('/new/purchase-orders', {
      supplier: 'S1',
      status: 'sent',
      ...LINE,
      requestKey,
    });
    expect(sent.status).toBe(303);
    const path = String(sent.headers.location);
    expect((await visitor.open(path)).text).toContain('0 of 2 rolls have come');
    const code = decodeURIComponent(/purchase-orders\/([^?]+)/.exec(path)?.[1] as string);
    expect((await visitor.open('/purchase-orders')).text).toContain(`>${code}</a>`);
    const receive = await visitor.open(`/receive?order=${code}`);
    expect(receive.text).toContain(`<option value="${code}" selected>`);
    expect(receive.text).toContain('2 x BF-01 1,050 mm');
  });

  it('come back as typed with each fault by its line', async () => {
    const sent = await visitor.send('/new/purchase-orders', {
      supplier: 'S1',
      status: 'draft',
      ...LINE,
      'lines-rolls-0': '0',
    });
    expect(sent.status).toBe(422);
    expect(plain(sent.text)).toContain('Line 1, Rolls');
    expect(sent.text).toMatch(/id="lines-rolls-0"[^>]*value="0"[^>]*aria-invalid="true"/);
  });

  it('get more empty lines on demand, and keep what was typed', async () => {
    const more = await visitor.send('/new/purchase-orders', { supplier: 'S1', ...LINE, do: 'more' });
    expect(more.status).toBe(200);
    expect(more.text).toContain('id="lines-grade-4"');
    expect(more.text).toMatch(/id="lines-grade-0"[^>]*value="BF-01"/);
  });

  it('that nobody has entered are not found', async () => {
    expect((await visitor.open('/purchase-orders/PO-none')).status).toBe(404);
  });
});
