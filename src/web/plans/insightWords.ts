// Insight in plain words: what one more of something costs or saves, with the number and where it comes from.
// Pure. A range whose ends read the same is written as one number.
import type { Insight, InsightLine, Range, WidthStudy } from '../../domain/insight.ts';
import { grouped } from '../words.ts';
import { money } from './planWords.ts';

export interface InsightSentence {
  /** What it is about: an order, a slitter, a film. */
  of: string;
  words: string;
  origin: string;
}
export interface InsightSection {
  title: string;
  sentences: InsightSentence[];
}

const DIFFERENCE = 'proven difference of two relaxations';
const DUAL = 'marginal value of the proven bound';

/** The sections of the page, empty ones left out; the biggest amounts first. */
export function insightSections(insight: Insight): InsightSection[] {
  const inMoney = (value: number) =>
    `${money(value)}${insight.currency === '' ? '' : ` ${insight.currency}`}`;
  const of = (...whats: InsightLine['what'][]) =>
    insight.lines
      .filter((line) => whats.includes(line.what))
      .sort((a, b) => sizeOf(b) - sizeOf(a))
      .map((line) => sentence(line, inMoney));
  return [
    { title: 'The machine', sentences: of('usable-width', 'one-more-strip', 'one-more-width') },
    {
      title: 'Another width of film',
      sentences: insight.widths.map((study) => widthSentence(study, inMoney)),
    },
    { title: 'What the tolerances are worth', sentences: of('tolerance') },
    { title: 'One more roll', sentences: of('one-more-roll') },
  ].filter(({ sentences }) => sentences.length > 0);
}

/** All orders together come first among the tolerances. */
function sizeOf(line: InsightLine): number {
  if (line.what === 'one-more-roll') return line.costs;
  return line.what === 'tolerance' && line.order === undefined ? Infinity : line.saves.most;
}

type Write = (value: number) => string;
/** Below half a cent an amount reads as nothing. */
const LEAST_SAID = 0.005;

function rangeWords({ least, most }: Range, inMoney: Write): string {
  if (most < LEAST_SAID) return 'nothing';
  const low = Math.max(0, least);
  if (money(low) === money(most)) return inMoney(most);
  return low < LEAST_SAID ? `at most ${inMoney(most)}` : `${money(low)} to ${inMoney(most)}`;
}

function sentence(line: InsightLine, inMoney: Write): InsightSentence {
  switch (line.what) {
    case 'one-more-roll':
      return {
        of: line.order,
        words: `One more roll would cost ${inMoney(Math.max(0, line.costs))}.`,
        origin: DUAL,
      };
    case 'tolerance':
      return {
        of: line.order ?? 'All orders',
        words:
          line.order === undefined
            ? `Their tolerances together save ${rangeWords(line.saves, inMoney)} against exact quantities.`
            : `Its tolerance saves ${rangeWords(line.saves, inMoney)} against the exact quantity.`,
        origin: DIFFERENCE,
      };
    case 'usable-width':
      return {
        of: line.slitter,
        words: `One millimetre less edge trim on the ${line.side} would save ${rangeWords(line.saves, inMoney)}.`,
        origin: DIFFERENCE,
      };
    case 'one-more-strip':
      return {
        of: line.slitter,
        words: `${line.limit + 1} strips across instead of ${line.limit} would save ${rangeWords(line.saves, inMoney)}.`,
        origin: DIFFERENCE,
      };
    case 'one-more-width':
      return {
        of: line.slitter,
        words: `${line.limit + 1} different widths in a pattern instead of ${line.limit} would save ${rangeWords(line.saves, inMoney)}.`,
        origin: DIFFERENCE,
      };
  }
}

const MOST_NAMED = 4;

function widthSentence({ item, besideMm, without, candidates }: WidthStudy, inMoney: Write): InsightSentence {
  const saved = candidates.map(({ widthMm, cost }) => ({
    widthMm,
    saves: { least: without.cost.least - cost.most, most: without.cost.most - cost.least },
  }));
  const worthIt = saved.filter(({ saves }) => saves.most >= LEAST_SAID && saves.least > -LEAST_SAID);
  const planned = without.planned && candidates.every((candidate) => candidate.planned);
  const widths = candidates.map(({ widthMm }) => widthMm);
  const tried = `${candidates.length} widths from ${grouped(Math.min(...widths))} to ${grouped(Math.max(...widths))} mm tried`;
  const origin = `${planned ? 'difference of two plans each' : `${DIFFERENCE} each`}; ${tried}`;
  const beside = `beside ${grouped(besideMm)} mm, at the same price per m²`;
  const [best, ...others] = worthIt;
  if (!best) return { of: item, words: `No other width ${beside}, would save anything.`, origin };
  const next = others.slice(0, MOST_NAMED - 1);
  const rest =
    next.length === 0
      ? ''
      : `; then ${next.map(({ widthMm, saves }) => `${grouped(widthMm)} mm (${rangeWords(saves, inMoney)})`).join(', ')}`;
  return {
    of: item,
    words: `Of other widths ${beside}, ${grouped(best.widthMm)} mm would save most: ${rangeWords(best.saves, inMoney)} on these orders${rest}.`,
    origin,
  };
}
