// What is proved of an answer, and what is not, in words: that it cannot be made by the day and by how much, that no more of
// it can, and that no earlier day can be kept.
import { type Answer, type Certificate, isYes } from '../../domain/answer.ts';
import type { Question } from '../../domain/question.ts';
import { umToMm } from '../../domain/units.ts';
import { count, grouped } from '../words.ts';

/** Is it proved that no plan makes more of them by the day? */
export const mostIsProved = ({ part, certificate, question }: Answer): boolean =>
  part !== undefined &&
  (part.proved === true ||
    (certificate !== undefined && part.rolls >= question.rolls - certificate.missingRolls));

export function proofWords(answer: Answer): string[] {
  const { certificate, question } = answer;
  return [
    ...(certificate ? [certificateWords(certificate, question)] : []),
    ...mostWords(answer),
    ...dayWords(answer),
  ];
}

function mostWords(answer: Answer): string[] {
  const { part } = answer;
  if (!part) return [];
  const [rolls, by] = [count(part.rolls, 'roll'), part.by];
  return mostIsProved(answer)
    ? [
        `Proved: while all others keep theirs and the rest follows, no plan makes more than ${rolls} by ${by}.`,
      ]
    : [`More than ${rolls} by ${by} were looked for and not found; that there can be no more is not proved.`];
}

/** Of an answer whose day is not the day asked for. */
function dayWords({ verdict, question, readyOn, earliest, part }: Answer): string[] {
  if (!readyOn || earliest === undefined || (isYes({ verdict }) && question.dueOn)) return [];
  const [whole, of] = part
    ? [`With ${grouped(part.rolls)} by ${part.by}, the rest`, 'the rest of it']
    : ['All of it', 'all of it'];
  return earliest
    ? [`Proved: in no plan that leaves others what they have is ${of} ready before ${readyOn}.`]
    : [`${whole} before ${readyOn} was looked for and not found; that it cannot be sooner is not proved.`];
}

function certificateWords({ by, missingM2, missingRolls, minutes, days }: Certificate, q: Question): string {
  if (days)
    return `Proved: over every choice of sets, rolls of film and days, film and hours taken together, ${count(missingRolls, 'roll')} or more are missing ${by ? `by ${by}` : 'for good'} (integer program, solved to its end).`;
  if (minutes)
    return `Proved: up to ${by} the slitters work ${hours(minutes.there)} beside what others take, and these rolls with everything kept by then take at least ${hours(minutes.needed)} in every plan (proven bound).`;
  const when = by ? `with all that can be ready by ${by}` : 'with all film there is and all on offer';
  const size = missingM2 < 0.1 ? 'some' : `at least ${grouped(Math.floor(missingM2 * 10) / 10, 1)} m²`;
  return `Proved: ${when}, and nothing taken from other orders, every plan lacks ${size}, which is ${count(missingRolls, 'roll')} or more of ${grouped(umToMm(q.widthUm))} mm (proven bound).`;
}

export const hours = (minutes: number): string => `${grouped(minutes / 60, 1)} h`;
