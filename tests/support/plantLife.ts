// Random life of a plant through its real use cases: what people at several screens could do next, each act tried as it
// may come: wanted or refused, once or sent twice. Seeded, so that a bad day can be lived again.
import type { Knex } from 'knex';
import { Refusal } from '../../src/domain/refusal.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import { DECISIONS } from '../../src/domain/rollDecision.ts';
import type { BadPlace } from '../../src/domain/rollMap.ts';
import { SCRAP_CAUSES } from '../../src/domain/stockWords.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';
import { findRows } from '../../src/store/rows.ts';
import { recordCoating } from '../../src/usecases/coating/recordCoating.ts';
import { undoCoating } from '../../src/usecases/coating/undoCoating.ts';
import { changeFinishedLength, scrapFinished } from '../../src/usecases/machine/correctFinished.ts';
import { type Exception, recordSets } from '../../src/usecases/machine/recordSets.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { undoLatest } from '../../src/usecases/machine/undoLatest.ts';
import { closeRun, withdrawRuns } from '../../src/usecases/machine/withdrawRuns.ts';
import { correctReceived } from '../../src/usecases/receiving/correctReceived.ts';
import { receiveRolls } from '../../src/usecases/receiving/receiveRolls.ts';
import { changeMap, markOfMap } from '../../src/usecases/rolls/changeMap.ts';
import { decideOnRoll } from '../../src/usecases/rolls/decideOnRoll.ts';
import { dispatchPackages } from '../../src/usecases/sending/dispatchPackages.ts';
import { packRolls } from '../../src/usecases/sending/packRolls.ts';
import { returnRoll } from '../../src/usecases/sending/returnRoll.ts';
import { unpackRolls } from '../../src/usecases/sending/unpackRolls.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { storePlanOf } from './machine.ts';

const COMPANY_PREFIX = '9521234';

/** How often each kind of act was done, and how often refused. */
export type Tally = Map<string, { done: number; refused: number }>;

/** Who watches: `begins` hears of each act before it is done, `told` the key of each form that somebody was told of. */
export interface Watch {
  begins(kind: string): void;
  told(requestKey: string): void;
}

export class PlantLife {
  readonly tally: Tally = new Map();
  private readonly random: () => number;
  private acts = 0;
  private readonly db: Knex;
  private readonly today: IsoDate;
  private readonly seed: number;
  private readonly watch: Watch;
  constructor(db: Knex, today: IsoDate, seed: number, watch: Watch = { begins() {}, told() {} }) {
    this.db = db;
    this.today = today;
    this.seed = seed;
    this.watch = watch;
    this.random = seededRandom(seed);
  }

  private readonly kinds: [string, number, () => Promise<unknown>][] = [
    ['record', 30, () => this.record()],
    ['pack', 12, () => this.pack()],
    ['decide', 10, () => this.decide()],
    ['release', 6, () => this.release()],
    ['coat', 6, () => this.coat()],
    ['dispatch', 5, () => this.dispatch()],
    ['undo', 5, () => this.undo()],
    ['receive', 5, () => this.receive()],
    ['map', 5, () => this.changeMap()],
    ['shorten', 4, () => this.shorten()],
    ['scrap', 3, () => this.scrap()],
    ['unpack', 3, () => this.unpack()],
    ['return', 3, () => this.takeBack()],
    ['withdraw', 2, () => this.withdraw()],
    ['close', 2, () => this.close()],
    ['correct', 3, () => this.correctReceipt()],
    ['uncoat', 3, () => this.takeCoatingBack()],
    ['plan', 2, () => this.plan()],
  ];

  /** One act of somebody; a refusal is an answer, anything else that is thrown is a fault of the program. */
  async act(): Promise<void> {
    const all = this.kinds.reduce((sum, [, weight]) => sum + weight, 0);
    let at = this.random() * all;
    for (const [kind, weight, perform] of this.kinds) {
      at -= weight;
      if (at >= 0) continue;
      // An empty machine is given work.
      if (kind === 'record' && !(await this.openRun())) {
        await this.count('plan', () => this.plan());
        return this.count('release', () => this.release());
      }
      return this.count(kind, perform);
    }
  }

  private async count(kind: string, perform: () => Promise<unknown>): Promise<void> {
    const counted = this.tally.get(kind) ?? { done: 0, refused: 0 };
    this.tally.set(kind, counted);
    this.watch.begins(kind);
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
    if ((answered.value as { ok?: boolean } | undefined)?.ok !== false) this.watch.told(form.requestKey);
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

  /** One base roll or two of a width, whole or in part, into one coated roll or two; now and then a metre is missing. */
  private async coat() {
    const where = this.often(0.8) ? "kind = 'base' and status = 'released'" : "kind = 'base'";
    const code = await this.anyOf('rolls', where);
    const [film] = code === undefined ? [] : await findRows(this.db, RESOURCES.rolls, [code]);
    if (!film) return undefined;
    const products = await this.db('product_grades')
      .where('code', String(film.item))
      .orderBy('product')
      .pluck('product');
    const product = this.one(products);
    if (product === undefined) return undefined;
    const more = this.often(0.2)
      ? await this.anyOf('rolls', `${where} and item = '${film.item}'`)
      : undefined;
    const [second] = more === undefined ? [] : await findRows(this.db, RESOURCES.rolls, [more]);
    const wholeM = Math.floor((film.lengthMm as number) / 1000);
    const takenM = this.often(0.3) ? wholeM : this.whole(1, Math.max(1, Math.min(wholeM, 6000)));
    const alsoM = second ? Math.min(1000, Math.floor((second.lengthMm as number) / 1000)) : 0;
    const lostM = this.often(0.4) ? this.whole(1, 40) : 0;
    const leftM = takenM + alsoM - 20 - lostM - (this.often(0.1) ? 1 : 0);
    const firstM = this.often(0.5) ? this.whole(1, Math.max(1, leftM - 1)) : undefined;
    const checks = { viscosity: '140', viscosityMax: this.often(0.9) ? '160' : '130', solidsPct: '30' };
    const typed = {
      head: {
        product,
        coatedOn: this.today,
        lot: `INK-${this.whole(1, 9)}`,
        startUpMm: '20',
        status: this.often(0.7) ? 'released' : 'in quarantine',
        ...checks,
      },
      bases: [
        { roll: String(film.code), takenMm: String(takenM) },
        ...(second ? [{ roll: String(second.code), takenMm: String(alsoM) }] : []),
      ],
      losses: lostM > 0 ? [{ cause: 'torn web', lengthMm: String(lostM) }] : [],
      jumbos: (firstM === undefined ? [leftM] : [firstM, leftM - firstM]).map((m) => ({ madeMm: String(m) })),
    };
    return this.send({ ...this.who(), today: this.today }, (form) => recordCoating(this.db, typed, form));
  }

  private async correctReceipt() {
    const [newest] = await this.db('received_rolls').orderBy('roll', 'desc').limit(1).pluck('roll');
    const roll = this.often(0.5) ? newest : await this.anyOf('received_rolls', 'true', 'roll');
    if (roll === undefined) return undefined;
    const typed = { lengthMm: String(this.whole(23_500, 24_500)), lot: `L-${this.whole(1, 9)}` };
    const correction = { ...this.who(), reason: 'label read again', typed, confirmed: this.often(0.8) };
    return this.send(correction, (form) => correctReceived(this.db, roll, form));
  }

  private async takeCoatingBack() {
    const runs: number[] = await this.db('coating_runs').orderBy('entry', 'desc').limit(10).pluck('entry');
    const coating = this.often(0.6) ? runs[0] : this.one(runs);
    if (coating === undefined) return undefined;
    await this.send({ ...this.who(), reason: 'wrong rolls named' }, (form) =>
      undoCoating(this.db, coating, form),
    );
    return { ok: true };
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

  /** Plans a product that lies coated in the house; when nobody wants it, a customer orders some first. */
  private async plan() {
    const products: string[] = await this.db('rolls')
      .whereIn('kind', ['coated', 'stub'])
      .where({ status: 'released' })
      .where('length_mm', '>', 400_000)
      .distinct('item')
      .orderBy('item')
      .pluck('item');
    const product = this.one(products);
    if (product === undefined) return undefined;
    const open = () =>
      this.db('order_lines').where({ status: 'open', product }).orderBy('code').limit(3).pluck('code');
    if ((await open()).length === 0) await this.order(product);
    return storePlanOf(this.db, this.today, await open(), 0.3);
  }

  private async order(product: string) {
    const typed = { customer: 'C-01', product, widthUm: '110', lengthMm: '300', rolls: '20', overPct: '10' };
    const code = `LIFE-${this.acts}-${this.whole(1, 9999)}`;
    await saveRow(this.db, RESOURCES.orders, { ...typed, code, underPct: '10', dueOn: '2027-04-30' });
  }

  private async release() {
    // The newest plan fits the stock; an older one may not, and is to be refused.
    const [newest] = await this.db('plans')
      .where('status', 'done')
      .orderBy('id', 'desc')
      .limit(1)
      .pluck('id');
    const plan = this.often(0.7) ? newest : await this.anyOf('plans', "status = 'done'", 'id');
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

  private async openRun() {
    const runs = await this.db('released_runs')
      .whereIn('status', ['waiting', 'being cut'])
      .orderBy(['release', 'sequence']);
    return this.one(runs);
  }

  private async record() {
    const run = await this.openRun();
    const from = this.one((run?.run.from ?? []) as { roll: string }[]);
    if (!run || !from) return undefined;
    const held = await this.db('released_rolls').where({ release: run.release, roll: from.roll }).first();
    if (!held?.active && this.often(0.8)) return this.close(run);
    const roll = await this.db('rolls').where('code', from.roll).first();
    const fit = Math.floor(Number(roll.length_mm) / (Number(run.length_mm) + 1500));
    const sensible = this.often(0.9);
    const sets = sensible ? Math.min(fit, this.whole(1, 4)) : this.whole(1, 4);
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
      exceptions: sets > 0 && this.often(0.3) ? [exception()] : [],
      end: sets === 0 || this.often(0.05) ? end : undefined,
      today: this.today,
    };
    return this.send(cut, (form) => recordSets(this.db, run.release, run.sequence, form));
  }

  /** Ends a run before all its sets are cut: this one, or any. */
  private async close(of?: { release: number; sequence: number }) {
    const run = of ?? (await this.openRun());
    if (!run) return undefined;
    await this.send({ ...this.who(), reason: 'no film left' }, (form) =>
      closeRun(this.db, run.release, run.sequence, form),
    );
    return { ok: true };
  }

  private async undo() {
    const rows = await this.db('recordings').whereNull('undone_by').orderBy('entry', 'desc').limit(20);
    const last = this.often(0.5) ? rows[0] : this.one(rows);
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
