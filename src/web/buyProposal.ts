// What to buy: the proposed purchase lines of each grade with their order-by day and cost, the next best way beside them, and
// the textbook figures with their formulae. A button turns the lines of one supplier into a draft purchase order.
import { randomUUID } from 'node:crypto';
import { group } from 'd3-array';
import type { Request, RequestHandler } from 'express';
import { type BuyingFigures, SERVICE_LEVELS } from '../domain/buyingFigures.ts';
import { CURRENCY } from '../domain/resource.ts';
import {
  type BuyingSettings,
  type Proposal,
  type ProposedLine,
  proposeBuying,
} from '../usecases/proposeBuying.ts';
import { weeksAsked } from './buyNeeds.ts';
import { showPage } from './page.ts';
import { oneOf } from './planForms.ts';
import { money } from './planWords.ts';
import type { Services } from './services.ts';
import { andList, count, grouped, howSoon, rowHref } from './words.ts';

/** Default - verify: common practice, no source. */
const USUAL = { orderCost: '180', holdingPct: '25', service: '95' };

interface Asked {
  settings: BuyingSettings;
  typed: { weeks: string; orderCost: string; holdingPct: string; service: string };
  faults: string[];
}

function settingsAsked(req: Request): Asked {
  const { weeks, typed: weeksTyped, fault } = weeksAsked(req);
  const given = (name: keyof typeof USUAL): string => oneOf(req.query[name]).trim() || USUAL[name];
  const typed = {
    weeks: weeksTyped,
    orderCost: given('orderCost'),
    holdingPct: given('holdingPct'),
    service: given('service'),
  };
  const faults = fault ? [fault] : [];
  const number = (name: 'orderCost' | 'holdingPct', most: number, what: string): number => {
    const value = Number(typed[name].replace(',', '.'));
    if (/^\d+([.,]\d+)?$/.test(typed[name]) && value <= most) return value;
    faults.push(
      `"${typed[name]}" is not ${what}: 0 to ${grouped(most)} would be right. Reckoned with ${USUAL[name]}.`,
    );
    return Number(USUAL[name]);
  };
  const costPerOrder = number('orderCost', 100_000, `a cost in ${CURRENCY} per order`);
  const holdingShare = number('holdingPct', 200, 'a percentage of the price for a year in stock') / 100;
  const level = SERVICE_LEVELS[typed.service];
  if (level === undefined)
    faults.push(
      `"${typed.service}" is not one of the service levels ${andList(Object.keys(SERVICE_LEVELS))}. Reckoned with 95.`,
    );
  const serviceFactor = level ?? (SERVICE_LEVELS['95'] as number);
  return { settings: { weeks, costPerOrder, holdingShare, serviceFactor }, typed, faults };
}

/** GET /buy/proposal?weeks=&orderCost=&holdingPct=&service= */
export function proposalPage(services: Services): RequestHandler {
  return async (req, res) => {
    const { settings, typed, faults } = settingsAsked(req);
    const today = services.today();
    const proposals = await proposeBuying(services.db, today, settings);
    const model = {
      title: 'What to buy',
      under: '/buy',
      answer: answerOf(proposals, today),
      currency: CURRENCY,
      typed,
      faults,
      services: Object.keys(SERVICE_LEVELS),
      proposals: proposals.map((one) => proposalModel(one, today, settings)),
    };
    showPage(req, res, 'buying/proposal', model, faults.length > 0 ? 422 : 200);
  };
}

function answerOf(proposals: readonly Proposal[], today: string): string {
  if (proposals.length === 0) return 'Nothing has to be bought for these weeks.';
  const lines = proposals.flatMap((one) => one.lines);
  const without = proposals.filter(({ plan }) => !plan).map(({ grade }) => grade);
  const nobody = without.length > 0 ? ` For ${andList(without)} there is no valid offer.` : '';
  const first = [...lines].sort((a, b) => a.orderBy.localeCompare(b.orderBy))[0];
  if (!first) return nobody.trim();
  const cost = lines.reduce((sum, line) => sum + line.cost, 0);
  const many = count(lines.length, 'purchase line');
  return `${many} for ${money(cost)} ${CURRENCY}; the first to be ordered is ${first.offer.grade} from ${first.offer.supplierName}, by ${first.orderBy} (${howSoon(first.orderBy, today)}).${nobody}`;
}

function proposalModel(one: Proposal, today: string, settings: BuyingSettings) {
  const { need, plan, next } = one;
  const bySupplier = [...group(one.lines, ({ offer }) => offer.supplier)];
  return {
    grade: one.grade,
    href: rowHref('grades', one.grade),
    title: `${need.polymer} ${grouped(need.thicknessUm)} um`,
    need: `${grouped(Math.ceil(need.buyM2), 0)} m², ${grouped(Math.ceil(need.buyM2 * need.kgPerM2), 0)} kg`,
    short: need.net.shortOn ?? need.net.belowSafetyOn ?? '',
    lines: one.lines.map((line) => lineModel(line, today)),
    costs: plan && costWords(plan),
    late: plan && plan.late > 0.005 ? lateWords(one) : '',
    next: next && {
      what: next.what,
      more: plan ? money(next.plan.total - plan.total) : '',
      total: money(next.plan.total),
      lines: next.lines.map((line) => lineModel(line, today)),
    },
    lapsed: one.lapsed.map(({ code, supplierName, validUntil }) => ({
      code,
      href: rowHref('offers', code),
      words: `${supplierName}, until ${validUntil}`,
    })),
    narrow: one.narrow.map(({ code }) => ({ code, href: rowHref('offers', code) })),
    drafts: bySupplier.map(([supplier, lines]) => draftModel(one.grade, supplier, lines, today)),
    figures: one.figures && figureWords(one.figures, settings),
  };
}

function lineModel(line: ProposedLine, today: string) {
  const { offer } = line;
  return {
    offer: offer.code,
    offerHref: rowHref('offers', offer.code),
    supplier: offer.supplierName,
    supplierHref: rowHref('suppliers', offer.supplier),
    width: grouped(line.widthUm / 1000),
    length: grouped(offer.rollLengthMm / 1000),
    rolls: grouped(line.rolls),
    kg: grouped(Math.round(line.kg), 0),
    m2: grouped(Math.round(line.areaM2), 0),
    price: line.pricePerKg.toFixed(2),
    cost: money(line.cost),
    orderBy: line.orderBy,
    soon: howSoon(line.orderBy, today),
    wantedOn: line.wantedOn,
  };
}

function costWords(plan: BuyingPlanCosts) {
  const proof = plan.proved
    ? 'No other choice of these offers costs less (proved).'
    : `At best ${money(plan.total - plan.bound)} ${CURRENCY} could still be saved (the search was cut short).`;
  return {
    film: money(plan.film),
    ordering: money(plan.ordering),
    holding: money(plan.holding),
    late: plan.late > 0.005 ? money(plan.late) : '',
    total: money(plan.total),
    proof,
  };
}
type BuyingPlanCosts = NonNullable<Proposal['plan']>;

function lateWords({ need, lines }: Proposal): string {
  const first = [...lines].sort((a, b) => a.wantedOn.localeCompare(b.wantedOn))[0];
  const day = need.net.shortOn ?? need.net.belowSafetyOn;
  return `Film is wanted from ${day} on; by these lead times the first can be here on ${first?.wantedOn}. What comes late is priced as much as the film for each week (default - verify).`;
}

/** The fields of the form for a new purchase order, filled in. */
function draftModel(grade: string, supplier: string, lines: readonly ProposedLine[], today: string) {
  const fields: [string, string][] = [
    ['supplier', supplier],
    ['status', 'draft'],
    ['orderedOn', ''],
    ['note', `Proposed on ${today}; order by ${lines.map(({ orderBy }) => orderBy).sort()[0]}.`],
  ];
  lines.forEach((line, i) => {
    const typed = {
      grade,
      offer: line.offer.code,
      widthUm: String(line.widthUm / 1000),
      lengthMm: String(line.offer.rollLengthMm / 1000),
      rolls: String(line.rolls),
      pricePerKg: String(line.pricePerKg),
      wantedOn: line.wantedOn,
      confirmedOn: '',
    };
    for (const [name, text] of Object.entries(typed)) fields.push([`lines-${name}-${i}`, text]);
  });
  return { supplier: lines[0]?.offer.supplierName ?? supplier, fields, requestKey: randomUUID() };
}

function figureWords(of: BuyingFigures, settings: BuyingSettings) {
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
