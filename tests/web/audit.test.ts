// The page of the audit: the answer first, and each fault with the way to its roll.
import { beforeAll, describe, expect, it } from 'vitest';
import { pastTheLedger } from '../support/stock.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

describe('the page of the audit', () => {
  let plant: Plant;
  beforeAll(async () => {
    plant = await openPlant();
  });
  const page = async () => (await new Visitor(plant.app).open('/audit')).text;

  it('says that nothing is wrong, and what it looked at', async () => {
    const text = await page();
    expect(text).toContain('No fault: every metre and every gram is accounted for.');
    expect(text).toMatch(/Looked at just now, all at one moment: \d+ rolls, 1 entry of the ledger/);
    expect(text).not.toContain('-0.000');
  });

  it('names a roll that holds something else than its ledger says, with its page', async () => {
    const { code } = await plant.db('rolls').orderBy('code').first('code');
    await pastTheLedger(plant.db, (trx) => trx('rolls').where({ code }).update({ length_mm: 7 }));
    const text = await page();
    expect(text).toContain('<b>1 fault.</b>');
    expect(text).toContain(`<a href="/rolls/${code}">${code}</a>`);
    expect(text).toContain('holds 0.007 m');
  });
});
