// Sell the trim: what is left over in width and metres, ranked by what it could bring, with the catalogue widths that fill
// it. Values are entered with the catalogue widths.
import { group } from 'd3-array';
import type { RequestHandler } from 'express';
import { CURRENCY } from '../../domain/resource.ts';
import { type Trim, trimToSell } from '../../usecases/sales/trimToSell.ts';
import { showPage } from '../page.ts';
import { money } from '../plans/planWords.ts';
import type { Services } from '../services.ts';
import { count, grouped, howSoon, rowHref } from '../words.ts';

const MOST_SHOWN = 100;

/** GET /trim */
export function trimPage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const trims = await trimToSell(services.db, today);
    const worth = trims.reduce((sum, one) => sum + (one.fill?.value ?? 0), 0);
    const filled = trims.filter(({ fill }) => fill).length;
    showPage(req, res, 'trim', {
      title: 'Sell the trim',
      under: '/answer',
      currency: CURRENCY,
      answer:
        trims.length === 0
          ? 'Nothing is left over: there is no stub, and no run that waits has a waste strip or a wide edge.'
          : `${count(filled, 'place holds', 'places hold')} catalogue widths worth ${money(worth)} ${CURRENCY}; ${count(trims.length - filled, 'more is', 'more are')} left over that no catalogue width fits.`,
      rows: trims.slice(0, MOST_SHOWN).map((one) => rowModel(one, today)),
      more: Math.max(0, trims.length - MOST_SHOWN),
    });
  };
}

function rowModel(trim: Trim, today: string) {
  const { where, roll, run, fill } = trim;
  return {
    where,
    name: roll ?? `run ${run?.sequence} of ${run?.released ? 'release' : 'plan'} ${run?.of}`,
    href: roll ? rowHref('rolls', roll) : run?.released ? `/releases/${run.of}` : `/plans/${run?.of}`,
    product: trim.product,
    width: grouped(trim.widthUm / 1000),
    metres: grouped(trim.lengthMm / 1000, 0),
    area: grouped(trim.areaM2, 1),
    age: trim.ageDays === undefined ? '' : grouped(trim.ageDays),
    useBy: trim.useBy ? `${trim.useBy} (${howSoon(trim.useBy, today)})` : '',
    fill: fill ? fillWords(fill) : '',
    rolls: fill ? grouped(fill.widths.length * fill.sets) : '',
    value: fill ? money(fill.value) : '',
    askHref: fill ? askHref(trim, fill) : '',
  };
}

/** "2 x 110 mm, 83 mm in 300 m" */
function fillWords({ widths }: NonNullable<Trim['fill']>): string {
  const alike = [...group(widths, ({ widthUm }) => widthUm)];
  const words = alike.map(([widthUm, many]) => {
    const size = `${grouped(widthUm / 1000)} mm`;
    return many.length > 1 ? `${many.length} x ${size}` : size;
  });
  return `${words.join(', ')} in ${grouped((widths[0]?.lengthMm ?? 0) / 1000)} m`;
}

/** The question for the widest of them, to go on from. */
function askHref({ product }: Trim, { widths, sets }: NonNullable<Trim['fill']>): string {
  const widest = [...widths].sort((a, b) => b.widthUm - a.widthUm)[0];
  if (!widest) return '';
  const many = widths.filter(({ widthUm }) => widthUm === widest.widthUm).length * sets;
  const width = String(widest.widthUm / 1000);
  const length = String(widest.lengthMm / 1000);
  return `/answer?${new URLSearchParams({ product, width, length, rolls: String(many) })}`;
}
