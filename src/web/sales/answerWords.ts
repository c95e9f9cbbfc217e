// An answer in words: the verdict first, then what it takes, what it leaves alone, what binds, and what proves it. Every
// number says where it comes from. The words of costs are in answerCosts.ts.
import { type Answer, ASKED, ASKED_LATER, type Evidence, isYes, TO_COME } from '../../domain/answer.ts';
import { minutesUntil } from '../../domain/hoursTaken.ts';
import type { Question } from '../../domain/question.ts';
import { toleranceText } from '../../domain/question.ts';
import { type IsoDate, umToMm } from '../../domain/units.ts';
import { ROUND_THE_CLOCK, type WorkCalendar } from '../../domain/workCalendar.ts';
import { rollNames } from '../drawings/picturePlan.ts';
import { andList, count, grouped, howSoon } from '../words.ts';
import { hours, mostIsProved, proofWords } from './answerProof.ts';

export interface AnswerWords {
  words: string;
  /** How the box looks: yes, look, stop. */
  look: 'done-note' | 'look' | 'stop-note';
  reasons: string[];
  /** Rolls that are too many to be named in a sentence, to be opened. */
  lists: { head: string; names: string }[];
}

/** "40 rolls of 83 mm x 300 m of CP-10" */
export function askedWords(q: Question): string {
  const tolerance = toleranceText(q);
  const size = `${count(q.rolls, 'roll')} of ${grouped(umToMm(q.widthUm))} mm x ${grouped(q.lengthMm / 1000)} m of ${q.product}`;
  return tolerance ? `${size}, ${tolerance}` : size;
}

export function answerWords(answer: Answer, today: string): AnswerWords {
  return {
    words: verdictWords(answer, today),
    look: isYes(answer) ? 'done-note' : answer.verdict === 'no' ? 'stop-note' : 'look',
    reasons: [
      ...shelfWords(answer),
      ...(isYes(answer) ? [] : whyNot(answer)),
      ...(answer.evidence ? filmWords(answer.evidence) : []),
      ...leftAlone(answer),
      ...hoursWords(answer, today as IsoDate),
      ...(isYes(answer) ? whyNot(answer) : []),
    ],
    lists: listsOf(answer),
  };
}

/** Why not, or not sooner, and how much of that is proved. */
const whyNot = (answer: Answer): string[] => [
  ...answer.limits,
  ...proofWords(answer),
  ...displacedWords(answer),
];

function verdictWords(answer: Answer, today: string): string {
  const { question: q, readyOn, part } = answer;
  const asked = askedWords(q);
  const day = readyOn ? `${readyOn} (${howSoon(readyOn, today)})` : 'a day not known';
  const soonest = answer.earliest ? 'the earliest day there is' : 'the earliest day found';
  const ready = q.dueOn ? `ready ${day}, asked for by ${q.dueOn}` : `ready ${day}, ${soonest}`;
  switch (answer.verdict) {
    case 'finished':
      return `Yes, from finished stock, today: ${asked}.`;
    case 'coated':
      return `Yes, from coated rolls: ${asked}, ${ready}.`;
    case 'coat':
      return `Yes, if film is coated first: ${asked}, ${ready}.`;
    case 'buy':
      return `Yes, if film is bought by ${answer.orderBy ?? today}: ${asked}, ${ready}.`;
    case 'part':
      return `${mostIsProved(answer) ? 'Only ' : 'Found: '}${grouped(part?.rolls ?? 0)} by ${part?.by}, the other ${grouped(q.rolls - (part?.rolls ?? 0))} on ${day}: ${asked}.`;
    case 'later':
      return answer.certificate
        ? `Not by ${q.dueOn}, but all on ${day}: ${asked}.`
        : `By ${q.dueOn} no plan is found, but all on ${day}: ${asked}.`;
    case 'no':
      return `No: ${asked} cannot be made${answer.possible ? `, at most about ${grouped(answer.possible)} of them` : ''}.`;
    case 'latest':
      return `By ${day} at the latest: ${asked}. Whether by ${q.dueOn}, or some of it by then, is being worked out.`;
    case 'working':
      if (answer.certificate)
        return `Not by ${q.dueOn}, not even with nothing else to make: ${asked}. From when it can be is being worked out; the answer follows on this page.`;
      return `Being worked out: ${asked}${q.dueOn ? ` by ${q.dueOn}` : ''}. Neither yes nor no is certain yet; the answer follows on this page.`;
    case 'open':
      return `Not known yet: no plan is found that makes ${asked}${q.dueOn ? ` by ${q.dueOn}` : ''}, and none is proved impossible.`;
  }
}

function shelfWords({ fromShelf, toSlit, question }: Answer): string[] {
  if (fromShelf.length === 0) return [];
  const list = firstFew(fromShelf);
  const rest = toSlit > 0 ? `; ${grouped(toSlit)} are to be slit` : '';
  return [
    `${grouped(fromShelf.length)} of ${grouped(question.rolls)} lie finished on the shelf: ${list}${rest}.`,
  ];
}

/** The rolls that the asked strips are cut from, and what has to be coated and bought for them (planned). */
function filmWords({ plan }: Pick<Evidence, 'plan'>): string[] {
  const from = rollsAskedFrom({ plan });
  const ours = plan.runs.filter(isAsked);
  const coated = plan.coating.filter(({ roll }) => from.includes(roll));
  const words = [`Cut from ${rollsInWords(from)}, in ${count(ours.length, 'run')} (planned).`];
  if (coated.length > 0) words.push(coatedWords(coated));
  if (from.some((roll) => roll.endsWith(TO_COME)))
    words.push(
      'It counts on film that the open orders need and that is still to be bought; the days hold when it is ordered today.',
    );
  for (const line of plan.purchases)
    words.push(
      `To be bought: ${count(line.rolls, 'roll')} of ${grouped(line.widthMm)} mm from offer ${line.offer}, ${grouped(line.kg, 0)} kg, ${grouped(line.cost, 0)} ${plan.currency}, here on ${line.arrivesOn ?? 'a day not known'} when ordered today (planned).`,
    );
  return words;
}

const MOST_NAMED = 4;

/** The first few by name, and how many more. */
function firstFew(names: readonly string[]): string {
  if (names.length <= MOST_NAMED) return rollNames([...names]);
  return `${names.slice(0, MOST_NAMED).join(', ')} and ${grouped(names.length - MOST_NAMED)} more`;
}

const isAsked = ({ strips }: Evidence['plan']['runs'][number]): boolean =>
  strips.some(({ order }) => order === ASKED || order === ASKED_LATER);
const rollsAskedFrom = ({ plan }: Pick<Evidence, 'plan'>): string[] => [
  ...new Set(plan.runs.filter(isAsked).flatMap((run) => run.from.map(({ roll }) => roll))),
];

/** What the sentences only begin to name, in full. */
function listsOf({ evidence, fromShelf }: Answer): AnswerWords['lists'] {
  const cut = evidence ? rollsAskedFrom(evidence) : [];
  return [
    { what: 'finished rolls on the shelf', names: fromShelf },
    { what: 'rolls that it is cut from', names: cut },
  ].flatMap(({ what, names }) =>
    names.length > MOST_NAMED
      ? [{ head: `All ${grouped(names.length)} ${what}`, names: names.join(', ') }]
      : [],
  );
}

/** Rolls in the house by name, film to come by its offer: "R7030 and 7 rolls to come from S3-BF-09-1050". */
function rollsInWords(names: readonly string[]): string {
  const there = names.filter((name) => !name.endsWith(TO_COME));
  const offers = names
    .filter((name) => name.endsWith(TO_COME))
    .map((name) => name.replace(/, roll \d+ to come$/, ''));
  const many = there.length > MOST_NAMED ? `${count(there.length, 'roll')}: ` : '';
  const named = there.length > 0 ? [`${many}${firstFew(there)}`] : [];
  const coming = [...new Set(offers)].map(
    (offer) => `${count(offers.filter((one) => one === offer).length, 'roll')} to come from offer ${offer}`,
  );
  return andList([...named, ...coming]);
}

function coatedWords(steps: Evidence['plan']['coating']): string {
  const metres = steps.reduce((sum, { lengthM }) => sum + lengthM, 0);
  const last = steps
    .map(({ readyOn }) => readyOn ?? '')
    .sort()
    .at(-1);
  return `To be coated: ${grouped(metres, 0)} m of ${rollsInWords(steps.map(({ roll }) => roll))}${last ? `, ready ${last}` : ''} (planned).`;
}

function leftAlone({ evidence, troubled, verdict }: Answer): string[] {
  if (!evidence && verdict !== 'finished') return troubledWords(troubled);
  const others = evidence?.plan.orders.filter(({ id }) => id !== ASKED && id !== ASKED_LATER).length ?? 0;
  const kept =
    others > 0
      ? `Nothing is displaced: ${count(others, 'open order or promise keeps its', 'open orders and promises keep their')} rolls and days, in the same plan.`
      : 'Nothing is displaced: no open order takes part in it.';
  return [kept, ...troubledWords(troubled)];
}

/** Less of others' work before a day is not worth a line, minutes. */
const WORTH_SAYING_MIN = 6;

/** Hours of the slitters of the asked runs that others take before it is ready, or before it was to be. */
function hoursWords({ evidence, question, readyOn }: Answer, today: IsoDate): string[] {
  const until = readyOn ?? question.dueOn;
  if (!evidence || !until) return [];
  const ours = evidence.plan.runs.filter(({ strips }) => strips.some(({ order }) => order === ASKED));
  const used = new Set(ours.map(({ slitter }) => slitter));
  return evidence.document.slitters.flatMap(({ id, calendar }) => {
    if (!used.has(id) || !calendar?.taken?.length) return [];
    const whole = { ...ROUND_THE_CLOCK, ...calendar } as WorkCalendar;
    const { all, taken } = minutesUntil(whole, today, until);
    if (taken < WORTH_SAYING_MIN) return [];
    return [
      `Of the ${hours(all)} that ${id} works up to ${until}, other products' open orders and promises and released runs take ${hours(taken)} (orders estimated, each by itself; runs as planned); its plan fits into the rest.`,
    ];
  });
}

const troubledWords = (troubled: readonly string[]): string[] =>
  troubled.length === 0
    ? []
    : [
        `With or without this question: ${troubled.slice(0, 5).join('; ')}${troubled.length > 5 ? `; and ${troubled.length - 5} more` : ''}.`,
      ];

function displacedWords(answer: Answer): string[] {
  if (isYes(answer)) return [];
  if (answer.notEvenAlone)
    return ['Not even with nothing else to make is a plan found that makes it in time.'];
  if (answer.wouldDisplace.length === 0) return [];
  const named = answer.wouldDisplace.slice(0, 6).join('; ');
  return [`To make it all the same, these would have to give way: ${named}.`];
}
