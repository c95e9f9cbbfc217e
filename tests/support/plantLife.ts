// Random life of a plant through its real use cases: what people at several screens could do next, each act tried as it
// may come: wanted or refused, once or sent twice. Seeded, so that a bad day can be lived again.
import type { Knex } from 'knex';
import { Refusal } from '../../src/domain/refusal.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import { DECISIONS } from '../../src/domain/rollDecision.ts';
import type { BadPlace } from '../../src/domain/rollMap.ts';
import { SCRAP_CAUSES } from '../../src/domain/stockWords.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { seededRandom } from '../../src/planner/seededRandom.ts';
import { findRows } from '../../src/store/rows.ts';
import { changeMap, markOfMap } from '../../src/usecases/changeMap.ts';
import { changeFinishedLength, scrapFinished } from '../../src/usecases/correctFinished.ts';
import { decideOnRoll } from '../../src/usecases/decideOnRoll.ts';
import { dispatchPackages } from '../../src/usecases/dispatchPackages.ts';
import { packRolls } from '../../src/usecases/packRolls.ts';
import { receiveRolls } from '../../src/usecases/receiving/receiveRolls.ts';
import { type Exception, recordSets } from '../../src/usecases/recordSets.ts';
import { releasePlan } from '../../src/usecases/releasePlan.ts';
import { returnRoll } from '../../src/usecases/returnRoll.ts';
import { undoLatest } from '../../src/usecases/undoLatest.ts';
import { unpackRolls } from '../../src/usecases/unpackRolls.ts';
import { withdrawRuns } from '../../src/usecases/withdrawRuns.ts';
import { storePlanOf } from './machine.ts';

const COMPANY_PREFIX = '9521234';

/** How often each kind of act was done, and how often refused. */
export type Tally = Map<string, { done: number; refused: number }>;

export class PlantLife {
  readonly tally: Tally = new Map();
  private readonly random: () => number;
  private acts = 0;
  private readonly db: Knex;
  private readonly today: IsoDate;
  private readonly seed: number;
  private readonly acknowledged: (requestKey: string) => void;
  /** `acknowledged` is told the key of every form whose entry somebody was told of. */
  constructor(db: Knex, today: IsoDate, seed: number, acknowledged: (requestKey: string) => void = () => {}) {
    this.db = db;
    this.today = today;
    this.seed = seed;
    this.acknowledged = acknowledged;
    this.random = seededRandom(seed);
  }

  private readonly kinds: [string, number, () => Promise<unknown>][] = [
    ['record', 30, () => this.record()],
    ['pack', 12, () => this.pack()],
    ['decide', 10, () => this.decide()],
    ['release', 6, () => this.release()],
    ['dispatch', 5, () => this.dispatch()],
    ['undo', 5, () => this.undo()],
    ['receive', 5, () => this.receive()],
    ['map', 5, () => this.changeMap()],
    ['shorten', 4, () => this.shorten()],
    ['scrap', 3, () => this.scrap()],
    ['unpack', 3, () => this.unpack()],
    ['return', 3, () => this.takeBack()],
    ['withdraw', 2, () => this.withdraw()],
    ['plan', 2, () => this.plan()],
  ];

  /** One act of somebody; a refusal is an answer, anything else that is thrown is a fault of the program. */
  async act(): Promise<void> {
    const all = this.kinds.reduce((sum, [, weight]) => sum + weight, 0);
    let at = this.random() * all;
    for (const [kind, weight, perform] of this.kinds) {
      at -= weight;
      if (at < 0) return this.count(kind, perform);
    }
  }

  private async count(kind: string, perform: () => Promise<unknown>): Promise<void> {
    const counted = this.tally.get(kind) ?? { done: 0, refused: 0 };
    this.tally.set(kind, counted);
    try {
      const answer = await perform();
      const refused = answer === undefined || (answer as { ok?: boolean }).ok === false;
      if (refused) counted.refused += 1;
      else counted.done += 1;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      counted.refused += 1;
    }
  }

  private whole = (least: number, most: number): number =>
    least + Math.floor(this.random() * (most - least + 1));
  private one = <T>(of: readonly T[]): T | undefined => of[Math.floor(this.random() * of.length)];
  private often = (share: number): boolean => this.random() < share;

  private who() {
    this.acts += 1;
    return { by: `person ${this.whole(1, 4)}`, requestKey: `life-${this.seed}-${this.acts}` };
  }

  /** Sends a form, now and then twice at the same time. */
  private async send<F extends { requestKey: string }, T>(
    form: F,
    perform: (form: F) => Promise<T>,
  ): Promise<T> {
    const times = this.often(0.15) ? 2 : 1;
    const sent = await Promise.allSettled(Array.from({ length: times }, () => perform(form)));
    const answered = sent.find((one) => one.status === 'fulfilled');
    if (!answered) throw (sent[0] as PromiseRejectedResult).reason;
    if ((answered.value as { ok?: boolean } | undefined)?.ok !== false) this.acknowledged(form.requestKey);
    return answered.value;
  }

  private async anyOf(table: string, where: string, column = 'code'): Promise<string | undefined> {
    const codes = await this.db(table).whereRaw(where).orderBy(column).limit(500).pluck(column);
    return this.one(codes.map(String));
  }

  private async receive() {
    const who = this.who();
    const lines = Array.from(
      { length: this.whole(1, 3) },
      (_, i) => `K${this.acts}-${i};${this.whole(150, 160)}`,
    );
    const list = `roll;mass (kg)\n${lines.join('\n')}\n`;
    const head = {
      supplier: 'S1',
      item: 'BF-01',
      widthUm: '1050',
      lengthMm: '24000',
      lot: `L-${this.whole(1, 9)}`,
      receivedOn: this.today,
      tolerancePct: this.often(0.8) ? '10' : '0.1',
      numbers: 'our next numbers',
    };
    const how = { ...who, mode: 'all' as const, confirmed: [] };
    return this.send(how, (form) => receiveRolls(this.db, { head, list }, form));
  }

  private async decide() {
    const where = this.often(0.6) ? "status in ('in quarantine', 'on hold')" : "status = 'released'";
    const roll = await this.anyOf('rolls', where);
    const decision = this.one(DECISIONS);
    if (!roll || !decision) return undefined;
    const typed = { reason: 'looked at', approver: 'Q. Lead', until: '2027-06-30', test: 'peel test' };
    const fields = decision === 'concession' ? typed : { reason: typed.reason };
    const asked = { roll, decision, typed: fields, ...this.who(), today: this.today };
    return this.send(asked, (form) => decideOnRoll(this.db, form));
  }

  private async plan() {
    const products = await this.db('order_lines')
      .where('status', 'open')
      .distinct('product')
      .orderBy('product')
      .pluck('product');
    const product = this.one(products);
    if (product === undefined) return undefined;
    const orders = await this.db('order_lines')
      .where({ status: 'open', product })
      .orderBy('code')
      .limit(3)
      .pluck('code');
    return storePlanOf(this.db, this.today, orders, 0.7);
  }

  private async release() {
    const plan = await this.anyOf('plans', "status = 'done'", 'id');
    if (plan === undefined) return undefined;
    const runs = this.often(0.6) ? ('all' as const) : [this.whole(1, 3)];
    const choice = { ...this.who(), runs, today: this.today };
    return this.send(choice, (form) => releasePlan(this.db, Number(plan), form));
  }

  private async withdraw() {
    const release = await this.anyOf('releases', "status = 'at the machine'", 'id');
    if (release === undefined) return undefined;
    const runs = await this.db('released_runs').where({ release, status: 'waiting' }).pluck('sequence');
    const asked = { ...this.who(), runs: runs.slice(0, this.whole(1, 2)), reason: 'no longer wanted' };
    await this.send(asked, (form) => withdrawRuns(this.db, Number(release), form));
    return { ok: true };
  }

  private async record() {
    const runs = await this.db('released_runs')
      .whereIn('status', ['waiting', 'being cut'])
      .orderBy(['release', 'sequence']);
    const run = this.one(runs);
    const from = this.one((run?.run.from ?? []) as { roll: string }[]);
    if (!run || !from) return undefined;
    const sets = this.whole(1, 4);
    const strips = run.run.strips.length;
    const exception = (): Exception => {
      const at = { set: this.whole(1, sets), strip: this.whole(1, strips) };
      const what = this.one(['short', 'scrap', 'splice'] as const);
      if (what === 'short') return { ...at, what, lengthMm: this.whole(1, Number(run.length_mm)) };
      return what === 'scrap'
        ? { ...at, what, cause: this.one(SCRAP_CAUSES) as string }
        : { ...at, what: 'splice' };
    };
    const keep = this.often(0.5);
    const end = { remainderMm: this.whole(0, 400_000), keep, cause: keep ? undefined : 'too short to keep' };
    const cut = {
      ...this.who(),
      roll: from.roll,
      sets,
      passedMm: this.often(0.3) ? this.whole(0, 40_000) : 0,
      tailMm: 1500,
      cutOuts: [],
      exceptions: this.often(0.3) ? [exception()] : [],
      end: this.often(0.05) ? end : undefined,
      today: this.today,
    };
    return this.send(cut, (form) => recordSets(this.db, run.release, run.sequence, form));
  }

  private async undo() {
    const rows = await this.db('recordings').whereNull('undone_by').orderBy('entry', 'desc').limit(20);
    const last = this.one(rows);
    if (!last) return undefined;
    const asked = { ...this.who(), entry: Number(last.entry), reason: 'counted wrongly' };
    await this.send(asked, (form) => undoLatest(this.db, last.release, last.roll, form));
    return { ok: true };
  }

  private async shorten() {
    const roll = await this.anyOf('rolls', "kind = 'finished' and length_mm > 1000");
    if (!roll) return undefined;
    const { length_mm } = await this.db('rolls').where('code', roll).first('length_mm');
    const length = Math.max(1, Math.round(Number(length_mm) * (0.5 + this.random() * 0.53)));
    return this.send({ ...this.who(), reason: 'measured' }, (form) =>
      changeFinishedLength(this.db, roll, length, form),
    );
  }

  private async scrap() {
    const roll = await this.anyOf('rolls', "kind = 'finished'");
    const cause = this.one(SCRAP_CAUSES);
    if (!roll || !cause) return undefined;
    return this.send({ ...this.who(), reason: 'looked at' }, (form) =>
      scrapFinished(this.db, roll, cause, form),
    );
  }

  private async pack() {
    const order = await this.anyOf(
      'rolls',
      "kind = 'finished' and status = 'released' and order_line is not null",
      'order_line',
    );
    if (!order) return undefined;
    const rolls = await this.db('rolls')
      .where({ kind: 'finished', order_line: order })
      .whereNot('status', 'used up')
      .orderBy('code')
      .limit(40)
      .pluck('code');
    const from = this.whole(0, Math.max(0, rolls.length - 1));
    const packing = {
      ...this.who(),
      order,
      rolls: rolls.slice(from, from + this.whole(1, 6)),
      into: undefined,
      companyPrefix: COMPANY_PREFIX,
      today: this.today,
    };
    return this.send(packing, (form) => packRolls(this.db, form));
  }

  private async unpack() {
    const sscc = await this.anyOf('packages', 'true', 'sscc');
    if (!sscc) return undefined;
    await this.send({ ...this.who(), sscc, reason: 'wrong box' }, (form) => unpackRolls(this.db, form));
    return { ok: true };
  }

  private async dispatch() {
    const sscc = await this.anyOf('packages', 'true', 'sscc');
    if (!sscc) return undefined;
    const sending = { ...this.who(), packages: [sscc], shortIsRight: this.often(0.7), today: this.today };
    return this.send(sending, (form) => dispatchPackages(this.db, form));
  }

  private async takeBack() {
    const roll = await this.anyOf('rolls', "kind = 'finished' and status = 'dispatched'");
    if (!roll) return undefined;
    await this.send({ ...this.who(), roll, reason: 'customer sent it back' }, (form) =>
      returnRoll(this.db, form),
    );
    return { ok: true };
  }

  private async changeMap() {
    const code = await this.anyOf('rolls', "kind <> 'finished' and length_mm > 100000");
    if (!code) return undefined;
    const [row] = await findRows(this.db, RESOURCES.rolls, [code]);
    const places = (row?.rollMap ?? []) as BadPlace[];
    const fromM = this.whole(0, Math.floor(Number(row?.lengthMm) / 1000) - 20);
    const typed = { fromMm: String(fromM), toMm: String(fromM + 10), fromUm: '', toUm: '', kind: 'flag' };
    const remove = places.length > 0 && this.often(0.3);
    const asked = {
      ...this.who(),
      roll: code,
      what: remove ? ('remove' as const) : ('add' as const),
      at: 0,
      seen: markOfMap(places),
      typed,
    };
    return this.send(asked, (form) => changeMap(this.db, form));
  }
}

/** Metres of one roll that two recordings both took, rolls in two releases, orders whose count is wrong. */
export async function doubleUse(db: Knex): Promise<unknown[]> {
  const { rows } = await db.raw(`
    with taken as (
      select roll, entry, from_inner_mm as low, from_inner_mm + used_mm as high from recordings
      where undone_by is null and used_mm > 0)
    select 'cut twice' as what, a.roll as about from taken a join taken b
      on a.roll = b.roll and a.entry < b.entry and a.low < b.high and b.low < a.high
    union all
    select 'in two releases', roll from released_rolls where active group by roll having count(*) > 1
    union all
    select 'order miscounted', p.order_line from order_progress p
      where p.made <> (select count(*) from rolls r join order_lines o on o.code = r.order_line
        where r.order_line = p.order_line and r.kind = 'finished'
          and (r.status = 'dispatched' or (r.status = 'released' and r.length_mm >= o.length_mm)))`);
  return rows;
}
