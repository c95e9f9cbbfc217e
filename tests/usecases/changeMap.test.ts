// Bad places added, changed and removed one at a time: what is entered, and what is refused.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { RESOURCES } from '../../src/domain/resources.ts';
import { type BadPlace, printRollMap } from '../../src/domain/rollMap.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { changeMap, markOfMap } from '../../src/usecases/rolls/changeMap.ts';
import { rollHistory } from '../../src/usecases/rolls/rollHistory.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { applyImport } from '../../src/usecases/tables/importRows.ts';
import { getRow } from '../../src/usecases/tables/listRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';

let db: Knex;
let number = 0;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, '2027-03-01' as IsoDate);
});

const mapOf = async (code: string) => (await getRow(db, RESOURCES.rolls, code))?.rollMap as BadPlace[];
const text = async (code: string) => printRollMap(await mapOf(code));
type Asked = Parameters<typeof changeMap>[1];
const change = async (
  code: string,
  what: Asked['what'],
  typed: Record<string, string>,
  more: Partial<Asked> = {},
) =>
  changeMap(db, {
    roll: code,
    what,
    at: -1,
    seen: markOfMap(await mapOf(code)),
    typed,
    by: 'Inspector',
    requestKey: `map-${++number}-key`,
    ...more,
  });
// 1050 mm x 12,000 m, no bad place
const ROLL = 'R7031';

describe('the map of a roll', () => {
  it('gets a place, changes and loses it, each an entry with the map before and after', async () => {
    await change(ROLL, 'add', { fromMm: '100', toMm: '250.5', fromUm: '300', toUm: '306', kind: 'streak' });
    expect(await text(ROLL)).toBe('100-250.5 m, 300-306 mm, streak');
    await change(ROLL, 'add', { fromMm: '1210', toMm: '1210', fromUm: '', toUm: '', kind: 'flag' });
    await change(
      ROLL,
      'change',
      { fromMm: '', toMm: '', fromUm: '182', toUm: '', kind: 'gauge band' },
      { at: 0 },
    );
    expect(await text(ROLL)).toBe('full length, 182-end mm, gauge band\n1210-1211 m, full width, flag');
    await change(ROLL, 'remove', {}, { at: 0 });
    expect(await text(ROLL)).toBe('1210-1211 m, full width, flag');
    const entries = (await rollHistory(db, ROLL)).filter(({ kind }) => kind === 'roll map');
    expect(entries).toHaveLength(4);
    expect(entries[0]?.by).toBe('Inspector');
    expect(printRollMap(entries[0]?.map?.before ?? [])).toContain('gauge band');
    expect(printRollMap(entries[0]?.map?.after ?? [])).toBe('1210-1211 m, full width, flag');
  });

  it.each([
    [{ fromMm: '12000', kind: 'gel' }, 'fromMm', 'the roll is 12000 m long'],
    [{ fromMm: '5', toMm: '12001', kind: 'gel' }, 'toMm', 'the roll is 12000 m long'],
    [{ fromMm: '500', toMm: '400', kind: 'gel' }, 'toMm', 'it ends before it begins'],
    [{ fromUm: '1050', kind: 'gel' }, 'fromUm', 'the roll is 1050 mm wide'],
    [{ fromUm: '10', toUm: '10', kind: 'gel' }, 'toUm', 'it has no width'],
    [{ fromMm: 'here', kind: 'gel' }, 'fromMm', '"here" is not a number'],
    [{ fromMm: '1' }, 'kind', 'Kind is missing'],
  ])('refuses %j', async (typed, field, wrong) => {
    const before = await text(ROLL);
    const sent = await change(ROLL, 'add', typed as Record<string, string>);
    expect(sent).toMatchObject({ ok: false, faults: [{ field, wrong }] });
    expect(await text(ROLL)).toBe(before);
  });

  it('is not changed from a form that shows another map than it has now', async () => {
    const sent = await change(ROLL, 'add', { kind: 'gel' }, { seen: 'an older map' });
    expect(sent).toMatchObject({ ok: false, faults: [{ field: 'seen' }] });
  });

  it('gets a place once, however often the form is sent', async () => {
    const asked = { seen: markOfMap(await mapOf('R7032')), requestKey: 'the-same-map-form' };
    const add = () => change('R7032', 'add', { fromMm: '7', kind: 'gel' }, asked);
    const sent = [...(await Promise.all([add(), add()])), await add()];
    expect(sent.every(({ ok }) => ok)).toBe(true);
    expect(await mapOf('R7032')).toHaveLength(1);
  });

  it('changed in a form or by a file is in its history too', async () => {
    await saveRow(db, RESOURCES.rolls, { rollMap: '5-9 m, full width, skip' }, { code: 'R7036' });
    const file = Buffer.from('Roll;Roll map\nR7036;5-8 m, full width, skip\n');
    await applyImport(db, RESOURCES.rolls, file, { mode: 'all-or-nothing', by: 'Mara' });
    const maps = (await rollHistory(db, 'R7036')).flatMap(({ map }) =>
      map ? [printRollMap(map.after)] : [],
    );
    expect(maps).toEqual(['5-8 m, full width, skip', '5-9 m, full width, skip']);
  });

  it('cannot lose what the ledger says of it', async () => {
    await expect(db('map_changes').delete()).rejects.toThrow(/ledger is for good/);
  });
});
