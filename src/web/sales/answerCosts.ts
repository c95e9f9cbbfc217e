// What a yes costs, as rows of texts: the floor of the quote with where each amount comes from, the price of the day, and
// offers to make to the customer.
import { toleranceText } from '../../domain/question.ts';
import type { CounterOffer, Quote } from '../../domain/quote.ts';
import { umToMm } from '../../domain/units.ts';
import { money } from '../plans/planWords.ts';
import { capital, grouped } from '../words.ts';
import { questionHref } from './answerForm.ts';

export function costModel(quote: Quote) {
  const each = quote.floor / quote.rolls;
  return {
    currency: quote.currency,
    lines: quote.lines.map(({ what, amount, source }) => ({
      what: capital(what),
      amount: money(amount),
      source: capital(source),
    })),
    planned: money(quote.planned),
    marginal: quote.marginal === undefined ? '' : money(quote.marginal),
    floor: money(quote.floor),
    perRoll: money(each),
    perM2: quote.perM2.toFixed(4),
    rolls: grouped(quote.rolls),
    rush: rushWords(quote),
    asAsked: quote.asAskedPerM2 === undefined ? '' : quote.asAskedPerM2.toFixed(4),
    offers: quote.offers.map((offer) => offerModel(offer, quote)),
  };
}

/** Less is nothing, in money. */
const SMALLEST = 0.005;

function rushWords({ rush, currency }: Quote): string {
  // Answers of before say it otherwise.
  if (typeof rush !== 'object') return '';
  const { byPlans, atLeast, atMost, proved } = rush;
  const nothing = byPlans < SMALLEST;
  const plans = nothing
    ? 'The day costs nothing more: no cheaper plan of all orders is known without it'
    : `The day itself costs ${money(byPlans)} ${currency}: the plan of all orders with it, less the cheapest known without it`;
  if (proved) return `${plans}. Proved: no other plans change that.`;
  const range =
    atLeast < SMALLEST ? `no more than ${money(atMost)}` : `between ${money(atLeast)} and ${money(atMost)}`;
  return `${plans}. Not proved: better plans could make it ${range} ${currency} (proven bounds).`;
}

function offerModel({ what, question, possible, readyOn, perM2 }: CounterOffer, quote: Quote) {
  const words = {
    tolerance: `${toleranceText(question)} instead of exactly so many`,
    width: `${grouped(umToMm(question.widthUm))} mm, a catalogue width`,
    date: 'as soon as can be, without a day',
  }[what];
  const { asAskedPerM2: asAsked } = quote;
  const saves = perM2 === undefined || asAsked === undefined ? undefined : asAsked - perM2;
  return {
    words,
    href: questionHref(question),
    outcome: possible ? `can be made, ready ${readyOn ?? 'on a day not known'}` : 'no plan found',
    perM2: perM2 === undefined ? '' : perM2.toFixed(4),
    saves: saves === undefined ? '' : savedWords(saves),
  };
}

/** Differences that four digits cannot show are none. */
function savedWords(saves: number): string {
  const text = Math.abs(saves).toFixed(4);
  if (Number(text) === 0) return 'nothing';
  return saves > 0 ? text : `costs ${text} more`;
}
