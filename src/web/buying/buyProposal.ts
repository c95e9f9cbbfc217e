// What to buy: the proposed purchase lines of each grade with their order-by day and cost, the next best way beside them, and
// the textbook figures with their formulae. A button turns the lines of one supplier into a draft purchase order.
import { randomUUID } from 'node:crypto';
import { group } from 'd3-array';
import type { RequestHandler } from 'express';
import { SERVICE_LEVELS } from '../../domain/buyingFigures.ts';
import type { LeadTime } from '../../domain/leadTime.ts';
import { CURRENCY } from '../../domain/resource.ts';
import { type BuyingSettings, buyingState } from '../../usecases/buying/buyingState.ts';
import type {
  BuyingProposal,
  GradeProposal,
  LeftOut,
  ProposedLine,
  ProposedOrder,
} from '../../usecases/buying/proposeBuying.ts';
import { showPage } from '../page.ts';
import { money } from '../plans/planWords.ts';
import type { Services } from '../services.ts';
import { andList, capital, count, grouped, howSoon, rowHref } from '../words.ts';
import { settingsAsked } from './buySettings.ts';
import { setModel, setsWords } from './setWords.ts';

/** GET /buy/proposal?weeks=&orderCost=&holdingPct=&service= */
export function proposalPage(services: Services): RequestHandler {
  return async (req, res) => {
    const { settings, typed, faults } = settingsAsked(req);
    const today = services.today();
    const heard = await services.jobs.buying.proposal(await buyingState(services.db, today, settings));
    const proposal = heard.answer;
    const model = {
      title: 'What to buy',
      under: '/buy',
      answer: proposal && answerOf(proposal, today),
      working: proposal ? undefined : workingWords(heard.progress),
      currency: CURRENCY,
      typed,
      faults,
      services: Object.keys(SERVICE_LEVELS),
      costs: proposal?.plan && costWords(proposal.plan),
      rates: proposal?.rates.map(rateModel) ?? [],
      orders: proposal?.orders.map((order) => orderModel(order, today)) ?? [],
      proposals: proposal?.grades.map((one) => gradeModel(one, today, settings)) ?? [],
      ...(proposal ? {} : { refreshSeconds: 2, scripts: ['working.js'] }),
    };
    showPage(req, res, 'buying/proposal', model, faults.length > 0 ? 422 : 200);
  };
}

/** How far an answer is that is still being worked out. */
export function workingWords(progress: { done: number; of: number } | undefined): string {
  return progress && progress.of > 0
    ? `Step ${grouped(progress.done)} of ${grouped(progress.of)} is being worked out.`
    : 'It is being worked out.';
}

function answerOf({ grades, orders }: BuyingProposal, today: string): string {
  if (grades.length === 0) return 'Nothing has to be bought for these weeks.';
  const without = grades.filter(({ offered }) => !offered).map(({ grade }) => grade);
  const nobody = without.length > 0 ? ` For ${andList(without)} there is no offer that can be taken.` : '';
  const [first] = orders;
  if (!first)
    return nobody ? nobody.trim() : 'Nothing has to be bought: it costs less to wait for film on the way.';
  const lines = orders.flatMap((order) => order.lines);
  const cost = orders.reduce((sum, { value, freight }) => sum + value + freight, 0);
  const film = [...new Set(first.lines.map(({ offer }) => offer.grade))];
  return `${count(lines.length, 'purchase line')} in ${count(orders.length, 'order')} for ${money(cost)} ${CURRENCY}; the first to be ordered is ${andList(film)} from ${first.supplier.name}, by ${first.orderBy} (${howSoon(first.orderBy, today)}).${nobody}`;
}

const rateModel = ({ currency, rate, fromOn }: BuyingProposal['rates'][number]) => ({
  words: `1 ${currency} = ${grouped(rate, 6)} ${CURRENCY} (from ${fromOn})`,
});

function orderModel(order: ProposedOrder, today: string) {
  const { supplier, lines, containers, fill } = order;
  const byCurrency = [...group(lines, ({ offer }) => offer.currency)];
  const least = supplier.minOrderValue;
  return {
    supplier: supplier.name,
    supplierHref: rowHref('suppliers', supplier.code),
    film: andList([...new Set(lines.map(({ offer }) => offer.grade))]),
    orderBy: order.orderBy,
    soon: howSoon(order.orderBy, today),
    wantedOn: order.wantedOn,
    rolls: grouped(order.rolls),
    kg: grouped(Math.round(order.kg), 0),
    value: money(order.value),
    freight: order.freight > 0 ? money(order.freight) : '',
    room: fill === undefined ? '' : `${count(containers, 'container')}, ${grouped(100 * fill, 0)} % full`,
    halfEmpty: fill !== undefined && fill < MOSTLY_FULL,
    least: least === null ? '' : `${money(least)} ${supplier.currency}`,
    drafts: byCurrency.map(([currency, own]) => draftModel(order, currency, own, today)),
  };
}

/** Below this share of room the page points at it. Default - verify: no source. */
const MOSTLY_FULL = 0.8;

function gradeModel(one: GradeProposal, today: string, settings: BuyingSettings) {
  const { need, next } = one;
  return {
    grade: one.grade,
    href: rowHref('grades', one.grade),
    title: `${need.polymer} ${grouped(need.thicknessUm)} um`,
    need: `${grouped(Math.ceil(need.buyM2), 0)} m², ${grouped(Math.ceil(need.buyM2 * need.kgPerM2), 0)} kg`,
    short: need.net.shortOn ?? need.net.belowSafetyOn ?? '',
    lines: one.lines.map((line) => lineModel(line, today)),
    over: overWords(one),
    sets: one.sets.map(setModel),
    setsWords: setsWords(one),
    waits:
      one.offered && one.lines.length === 0
        ? `It costs less to wait for film on the way: being late is priced at ${money(one.late)} ${CURRENCY} (the film's price for each week: default - verify).`
        : '',
    late: one.late > 0.005 && one.lines.length > 0 ? lateWords(one) : '',
    next: next && {
      words: nextWords(next),
      lines: next.lines.map((line) => lineModel(line, today)),
    },
    untried: one.untried,
    leftOut: one.leftOut.map(({ offer, ...why }) => ({
      code: offer.code,
      href: rowHref('offers', offer.code),
      words: leftOutWords({ offer, ...why }),
    })),
    figures: one.figures && figureWords(one.figures, settings),
    figuresBy: one.figures
      ? `${one.figures.offer.code} of ${one.figures.offer.supplierName}, the offer of the lowest price; ${leadWords(one.figures.lead)}`
      : '',
  };
}

/** Film beyond the need of these weeks, from one roll on, with the least order where that is why. */
function overWords({ need, lines }: GradeProposal): string {
  const over = lines.reduce((m2, line) => m2 + line.areaM2, 0) - need.buyM2;
  const roll = Math.max(...lines.map((line) => line.areaM2 / line.rolls));
  if (lines.length === 0 || over < roll) return '';
  const least = lines.filter(({ kg, rolls, offer }) => kg - kg / rolls < offer.minOrderKg);
  const why = least.map(({ offer }) => `the least order of ${offer.code} is ${grouped(offer.minOrderKg)} kg`);
  return `${grouped(Math.round(over), 0)} m² (${grouped(Math.round(over * need.kgPerM2), 0)} kg) more than these weeks need${why.length > 0 ? `: ${andList([...new Set(why)])}` : ''}.`;
}

function nextWords({ what, more, proved }: NonNullable<GradeProposal['next']>): string {
  if (more < -0.005)
    return `${capital(what)} it would cost ${money(-more)} ${CURRENCY} less: the search for the best was cut short`;
  if (more < 0.005) return `Next best, ${what}: it costs the same`;
  return `Next best, ${what}: ${money(more)} ${CURRENCY} more in all${proved ? '' : ' at most (the search was cut short)'}`;
}

function leftOutWords({ offer, why, currency }: LeftOut): string {
  if (why === 'lapsed') return `${offer.supplierName}, lapsed: it was valid until ${offer.validUntil}`;
  if (why === 'no rate')
    return `${offer.supplierName}, no exchange rate for ${currency} holds today: enter one`;
  return `${offer.supplierName}, no strip that is ordered can be cut from it`;
}

function lineModel(line: ProposedLine, today: string) {
  const { offer } = line;
  const foreign = offer.currency === CURRENCY ? '' : `${line.ownPrice.toFixed(2)} ${offer.currency}`;
  return {
    offer: offer.code,
    offerHref: rowHref('offers', offer.code),
    supplier: offer.supplierName,
    supplierHref: `${rowHref('suppliers', offer.supplier)}/record`,
    width: grouped(line.widthUm / 1000),
    length: grouped(offer.rollLengthMm / 1000),
    rolls: grouped(line.rolls),
    kg: grouped(Math.round(line.kg), 0),
    m2: grouped(Math.round(line.areaM2), 0),
    price: line.pricePerKg.toFixed(2),
    foreign,
    cost: money(line.cost),
    orderBy: line.orderBy,
    soon: howSoon(line.orderBy, today),
    wantedOn: line.wantedOn,
    lead: leadWords(line.lead),
  };
}

/** "63 days by the offer", or with what the supplier's record adds. */
function leadWords({ days, spreadDays, from, deliveries, meanDelayDays }: LeadTime): string {
  const n = (value: number): string => grouped(value, 1);
  if (from === 'record')
    return `${n(days - meanDelayDays)} days by the offer and ${n(meanDelayDays)} late, spread ${n(spreadDays)} (record: ${count(deliveries, 'delivery', 'deliveries')})`;
  const came =
    deliveries === 0 ? 'none came yet' : `only ${count(deliveries, 'delivery', 'deliveries')} so far`;
  const spread = spreadDays > 0 ? `, spread ${n(spreadDays)}` : '';
  return `${n(days)} days${spread} by the offer (${came})`;
}

function costWords(plan: NonNullable<BuyingProposal['plan']>) {
  const proof = plan.proved
    ? 'No other choice of these offers costs less (proved).'
    : `At best ${money(plan.total - plan.bound)} ${CURRENCY} could still be saved (the search was cut short).`;
  const shown = (value: number): string => (value > 0.005 ? money(value) : '');
  return {
    film: money(plan.film),
    ordering: money(plan.ordering),
    freight: shown(plan.freight),
    holding: money(plan.holding),
    coating: shown(plan.coating),
    late: shown(plan.late),
    total: money(plan.total),
    proof,
  };
}

function lateWords({ need, lines }: GradeProposal): string {
  const first = [...lines].sort((a, b) => a.wantedOn.localeCompare(b.wantedOn))[0];
  const day = need.net.shortOn ?? need.net.belowSafetyOn;
  return `Film is wanted from ${day} on; in this choice the first comes on ${first?.wantedOn}. What comes late is priced as much as the film for each week (default - verify).`;
}

/** The fields of the form for a new purchase order, filled in. */
function draftModel(order: ProposedOrder, currency: string, lines: readonly ProposedLine[], today: string) {
  const fields: [string, string][] = [
    ['supplier', order.supplier.code],
    ['status', 'draft'],
    ['orderedOn', ''],
    ['currency', currency],
    ['note', `Proposed on ${today}; order by ${order.orderBy}.`],
  ];
  lines.forEach((line, i) => {
    const typed = {
      grade: line.offer.grade,
      offer: line.offer.code,
      widthUm: String(line.widthUm / 1000),
      lengthMm: String(line.offer.rollLengthMm / 1000),
      rolls: String(line.rolls),
      pricePerKg: String(Number(line.ownPrice.toFixed(4))),
      wantedOn: line.wantedOn,
      confirmedOn: '',
    };
    for (const [name, text] of Object.entries(typed)) fields.push([`lines-${name}-${i}`, text]);
  });
  return { supplier: order.supplier.name, currency, fields, requestKey: randomUUID() };
}

function figureWords(of: NonNullable<GradeProposal['figures']>, settings: BuyingSettings) {
  const n = (value: number): string => grouped(value, 1);
  const h = of.holdingPerKgYear.toFixed(3);
  return [
    {
      name: 'Economic order quantity',
      value: `${n(of.economicKg)} kg`,
      formula: 'square root of (2 x yearly use x cost of an order / cost of holding one kg for a year)',
      numbers: `√(2 x ${n(of.yearlyKg)} x ${n(settings.costPerOrder)} / ${h}); ordering and holding then cost ${money(of.economicCost)} ${CURRENCY} a year`,
    },
    {
      name: 'Safety stock',
      value: `${n(of.safetyKg)} kg`,
      formula:
        'z x square root of (lead time x deviation of weekly use² + weekly use² x deviation of lead time²)',
      numbers: `${of.serviceFactor} x √(${n(of.leadWeeks)} x ${n(of.perWeekDeviationKg)}² + ${n(of.perWeekKg)}² x ${n(of.leadDeviationWeeks)}²), weeks and kg`,
    },
    {
      name: 'Reorder point',
      value: `${n(of.reorderKg)} kg`,
      formula: 'weekly use x lead time + safety stock',
      numbers: `${n(of.perWeekKg)} x ${n(of.leadWeeks)} + ${n(of.safetyKg)}`,
    },
  ];
}
