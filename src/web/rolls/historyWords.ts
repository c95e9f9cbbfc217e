// What happened to a roll, entry by entry, in the trade's words: what came in, went out or was lost, how its status and
// its map changed, who did it and why.
import { type BadPlace, printRollMap } from '../../domain/rollMap.ts';
import { mmToM } from '../../domain/units.ts';
import type { HistoryEntry, HistoryMovement } from '../../usecases/rolls/rollHistory.ts';
import { andList, count, grouped, rowHref } from '../words.ts';

const HEADS: Record<string, string> = {
  entered: 'Entered',
  counted: 'Counted',
  received: 'Received',
  status: 'Decided',
  'roll map': 'Roll map changed',
  coated: 'Coated',
  'released to the machine': 'Released to the machine',
  withdrawn: 'Withdrawn from the machine',
  cut: 'Cut',
  'roll finished': 'End of the roll',
  corrected: 'Corrected',
  packed: 'Packed',
  dispatched: 'Dispatched',
};

const DECIDED: Record<string, string> = {
  release: 'Released',
  hold: 'Put on hold',
  concession: 'Released with a concession',
  'take back': 'Concession taken back',
};

interface HistoryLink {
  text: string;
  href: string;
}

export interface HistoryLine {
  id: number;
  head: string;
  at: string;
  by: string;
  reason: string;
  lines: { text: string; links: HistoryLink[] }[];
}

export function historyLine(entry: HistoryEntry): HistoryLine {
  const lines = [
    ...entry.movements.map(movementWords),
    ...entry.statuses.map(({ was, becomes }) =>
      plain(was ? `was ${was}, is now ${becomes}` : `is ${becomes}`),
    ),
    ...concessionWords(entry.details),
    ...receivedWords(entry.details),
    ...(entry.map ? mapWords(entry.map) : []),
    ...madeWords(entry.made),
  ];
  const decided = DECIDED[String(entry.details.decision)];
  return {
    id: entry.id,
    head: (entry.kind === 'status' && decided) || HEADS[entry.kind] || entry.kind,
    at: entry.at.toISOString().slice(0, 16).replace('T', ' '),
    by: entry.by,
    reason: entry.reason ?? '',
    lines,
  };
}

const plain = (text: string) => ({ text, links: [] as HistoryLink[] });
const rollLink = (code: string): HistoryLink => ({ text: code, href: rowHref('rolls', code) });

/** "24,000 m, 158.2 kg in (received)" */
function movementWords({ side, cause, lengthMm, massMg, madeOf }: HistoryMovement) {
  const amounts = [
    lengthMm === 0 ? '' : `${grouped(mmToM(Math.abs(lengthMm)))} m`,
    massMg === 0 ? '' : `${grouped(Math.abs(massMg) / 1e6, 3)} kg`,
  ].filter(Boolean);
  const back = side === 'in' ? lengthMm < 0 || massMg < 0 : lengthMm > 0 || massMg > 0;
  const way = { in: 'in', out: 'out', loss: 'lost' }[side];
  const text = `${amounts.join(', ')} ${back ? `${way}, taken back` : way}: ${cause}${madeOf ? ' of' : ''}`;
  return { text, links: madeOf ? [rollLink(madeOf)] : [] };
}

function concessionWords({ decision, approver, until, test }: Record<string, unknown>) {
  if (decision !== 'concession') return [];
  return [plain(`approved by ${approver} until ${until}${test ? `; tested: ${test}` : ''}`)];
}

/** Width and lot of a correction; length and mass stand in its movements. */
function receivedWords({ was, is }: Record<string, unknown>) {
  if (!was || !is) return [];
  const [before, after] = [was, is] as { widthUm: number; lot: string | null }[];
  return [
    ...(before?.widthUm === after?.widthUm
      ? []
      : [
          plain(
            `width was ${grouped((before?.widthUm ?? 0) / 1000)} mm, is ${grouped((after?.widthUm ?? 0) / 1000)} mm`,
          ),
        ]),
    ...(before?.lot === after?.lot
      ? []
      : [plain(`lot was ${before?.lot ?? 'not entered'}, is ${after?.lot ?? 'not entered'}`)]),
  ];
}

function mapWords({ before, after }: { before: BadPlace[]; after: BadPlace[] }) {
  const words = (places: BadPlace[]) => places.map((place) => printRollMap([place]));
  const [was, is] = [words(before), words(after)];
  return [
    ...was.filter((place) => !is.includes(place)).map((place) => plain(`no longer: ${place}`)),
    ...is.filter((place) => !was.includes(place)).map((place) => plain(`now: ${place}`)),
  ];
}

function madeWords({ many, first }: HistoryEntry['made']) {
  if (many === 0) return [];
  const more = many - first.length;
  const text = `${count(many, 'roll')} made of it${more > 0 ? `, among them ${andList(first.slice(0, 2))}` : ':'}`;
  return [more > 0 ? plain(text) : { text, links: first.map(rollLink) }];
}
