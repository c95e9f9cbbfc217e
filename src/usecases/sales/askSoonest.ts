// As soon as can be: the day of a yes for which no day was asked.
import { ASKED } from '../../domain/answer.ts';
import { addDays, type IsoDate } from '../../domain/units.ts';
import { datedLook } from './askDated.ts';
import { earliest } from './askEarliest.ts';
import { type Found, foundYes, type Thinking } from './askInTime.ts';
import { type AskedLine, wholeLine } from './askProblems.ts';
import { prove } from './askProof.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { evidenceOf } from './askTrials.ts';

/** A yes without a day, on the earliest day on which its kind of film gives it. */
export function asSoonAsCanBe(asking: Thinking, found: Found): Found {
  const { state, kept, q, shelf, control } = asking;
  if (q.dueOn || !found.evidence) return found;
  const cuts = cutsFor(state, kept, undefined);
  const cut = (cuts.find(({ verdict }) => verdict === found.verdict) ?? cuts.at(-1)) as Cut;
  const line = wholeLine(q, shelf);
  const search = {
    linesBy: (by: IsoDate) => [{ ...line, by }],
    line: ASKED as typeof ASKED,
    dated: datedLook(state, kept, cut, q, control),
    tryBy(by: IsoDate) {
      return evidenceOf(asking.tryCut(cut, [{ ...line, by }], asking));
    },
    provedNot: (by: IsoDate) => isProvedNot(asking, cut, { ...line, by }),
  };
  const { evidence, readyOn, proved } = earliest(search, state.today, found.evidence);
  const onAnyFilm = () => notSoonerOnAnyFilm(asking, line, addDays(readyOn, -1));
  return {
    ...foundYes(cut, { holds: true, evidence }, q, state.today),
    readyOn,
    earliest: proved && (readyOn <= state.today || cut === cuts.at(-1) || onAnyFilm()),
  };
}

/** Is it proved that not even film of other kinds makes it by that day? */
function notSoonerOnAnyFilm(asking: Thinking, line: AskedLine, by: IsoDate): boolean {
  const { state, kept, q, control } = asking;
  const widest = cutsFor(state, kept, by).at(-1) as Cut;
  const dated = datedLook(state, kept, widest, q, control);
  if (dated.lacking([{ ...line, by }], ASKED, false)?.atLeast) return true;
  return isProvedNot(asking, widest, { ...line, by });
}

/** Is it proved that this film, in no plan, makes the line by its day? */
export function isProvedNot(
  { state, kept, q, control, patience }: Thinking,
  cut: Cut,
  line: AskedLine,
): boolean {
  return prove(state, kept, cut, q, line, control, patience.proof).certificate !== undefined;
}
