// The door "Answer a customer": ask for rolls of a product and get an answer first, its reasons under it.
// Below, product by product and width by width, what there is and what is already asked for.
import type { RequestHandler } from 'express';
import { parseField } from '../domain/fieldText.ts';
import { type Fault, fieldHead, fieldOf } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import {
  type Answer,
  type Asked,
  answerCustomer,
  type RollToSee,
  type WidthDemand,
  whatThereIs,
} from '../usecases/whatWeCanAnswer.ts';
import { markOf } from './marks.ts';
import { showPage } from './page.ts';
import type { Services } from './services.ts';
import { andList, count, grouped, howSoon, rowHref } from './words.ts';

/** The asking fields: name in the address, field of an order line that gives its rules. */
const ASKED = { product: 'product', width: 'widthUm', length: 'lengthMm', rolls: 'rolls' } as const;
type Name = keyof typeof ASKED;
const NAMES = Object.keys(ASKED) as Name[];

const whole = (value: number): string => grouped(Math.round(value), 0);

/** GET /answer. */
export function answerPage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const typed = Object.fromEntries(NAMES.map((n) => [n, String(req.query[n] ?? '').trim()])) as Record<
      Name,
      string
    >;
    const { balances, chosen, widths, rolls } = await whatThereIs(
      services.db,
      today,
      typed.product || undefined,
    );
    const { asked, faults } = readAsked(
      req.query,
      typed,
      balances.map((b) => b.product),
    );
    const answer =
      asked && chosen ? await answerCustomer(services.db, today, asked, chosen, rolls) : undefined;
    showPage(
      req,
      res,
      'answer',
      {
        title: 'Answer a customer',
        typed,
        faults: Object.fromEntries(faults.map((f) => [f.field, f])),
        otherFaults: faults.filter((f) => !NAMES.includes(f.field as Name)),
        products: balances.map((b) => ({ code: b.product, name: b.name })),
        inputs: NAMES.slice(1).map((name) => ({
          name,
          head: fieldHead(fieldOf(RESOURCES.orders, ASKED[name])),
        })),
        answer: answer && asked ? answerModel(answer, asked, today) : undefined,
        chosen: chosen && {
          code: chosen.product,
          name: chosen.name,
          href: rowHref('products', chosen.product),
        },
        widths: widths.map(widthModel),
        rolls: rolls.map((roll) => rollModel(roll, today)),
        balances: balances.map((b) => ({
          ...b,
          href: `/answer?product=${encodeURIComponent(b.product)}`,
          ordered: whole(Math.ceil(b.areaM2)),
          coated: whole(b.coatedM2),
          held: whole(b.heldM2),
          left: whole(Math.max(0, b.coatedM2 - b.areaM2)),
          short: b.shortM2 > 0 ? whole(Math.ceil(b.shortM2)) : '',
          film: whole(b.filmM2),
        })),
      },
      faults.length > 0 ? 422 : 200,
    );
  };
}

/** The enquiry, once all four are given; a product alone only chooses what is shown. */
function readAsked(
  query: Record<string, unknown>,
  typed: Record<Name, string>,
  products: string[],
): { asked: Asked | undefined; faults: Fault[] } {
  const faults: Fault[] = Object.keys(query)
    .filter((name) => !NAMES.includes(name as Name))
    .map((name) => ({
      field: name,
      value: '',
      wrong: `there is no "${name}" to ask for`,
      right: NAMES.join(', '),
    }));
  const given = NAMES.filter((name) => typed[name] !== '');
  const values: Record<string, unknown> = {};
  if (given.some((name) => name !== 'product'))
    for (const name of NAMES) {
      const field = { ...fieldOf(RESOURCES.orders, ASKED[name]), required: true };
      const reading = parseField(field, typed[name], { decimal: 'auto' });
      if (reading.ok) values[ASKED[name]] = reading.value;
      else faults.push({ ...reading.fault, field: name });
    }
  if (typed.product && !products.includes(typed.product))
    faults.push(unknownProduct(typed.product, products));
  const complete = faults.length === 0 && values.rolls !== undefined;
  return { asked: complete ? (values as unknown as Asked) : undefined, faults };
}

const unknownProduct = (value: string, products: string[]): Fault => ({
  field: 'product',
  value,
  wrong: `there is no product "${value}"`,
  right: products.length > 0 ? `one of: ${products.join(', ')}` : 'a product that is entered first',
});

function answerModel(answer: Answer, asked: Asked, today: string) {
  const ask = `${count(asked.rolls, 'roll')} of ${grouped(asked.widthUm / 1000)} mm x ${grouped(asked.lengthMm / 1000)} m`;
  const when = answer.earliest ? `${answer.earliest} (${howSoon(answer.earliest, today)})` : '';
  const offer = answer.offer;
  const words = {
    'from-stock': [`Likely yes, from stock: ${ask} of ${asked.product}.`, 'done-note'],
    'coat-first': [`Possible after coating, not before ${when}: ${ask} of ${asked.product}.`, 'look'],
    'film-first': [
      `Not before ${when}: film has to be bought first${offer ? ` (offer ${offer.code}, ${offer.supplierName}, ${offer.leadTimeDays} days)` : ''}.`,
      'stop-note',
    ],
    'no-film-known': [
      'No: neither stock nor film suffices, and no offer for its film is entered.',
      'stop-note',
    ],
  }[answer.verdict] as [string, string];
  const fits = answer.fitting.map((roll) => roll.code);
  return {
    words: words[0],
    look: words[1],
    reasons: [
      `${ask} take ${whole(Math.ceil(answer.askedM2))} m², before trim and lead-in.`,
      `Coated, released and not asked for by other open orders: ${whole(answer.freeM2)} m²; with the film that could be coated: ${whole(answer.reachableM2)} m².`,
      fits.length > 0
        ? `Wide and long enough for it: ${andList(fits.slice(0, 8))}${fits.length > 8 ? ` and ${fits.length - 8} more` : ''}.`
        : 'No released roll is wide and long enough for it.',
    ],
  };
}

function widthModel(demand: WidthDemand) {
  return {
    width: grouped(demand.widthUm / 1000),
    length: grouped(demand.lengthMm / 1000),
    orders: grouped(demand.orders),
    rolls: grouped(demand.rolls),
    area: whole(demand.areaM2),
    due: demand.firstDue ?? '',
  };
}

function rollModel(roll: RollToSee, today: string) {
  const marked = (name: string) => markOf(fieldOf(RESOURCES.rolls, name), { ...roll }, today);
  return {
    ...roll,
    href: rowHref('rolls', roll.code),
    width: grouped(roll.widthUm / 1000),
    length: grouped(roll.lengthMm / 1000),
    statusMark: marked('status') ?? 'calm',
    useByMark: marked('useBy'),
  };
}
