// The demo plant's roll notes as bad places. Operator side is the left datum edge. A flag or a join is taken as 1 m to
// cut out over the full width (default - verify); what has no metres runs over the full length.
import { type BadPlace, parseRollMap } from '../src/domain/rollMap.ts';

type ToLines = (match: string[], widthMm: number) => string[];

const NOTES: readonly [RegExp, ToLines][] = [
  [
    /^lane streak (\d+)-(\d+) mm, (\d+)-(\d+) m$/,
    ([a, b, c, d]) => [`${c}-${d} m, ${a}-${b} mm, lane streak`],
  ],
  [/^flags at ([\d, ]+) m$/, ([at]) => (at as string).split(', ').map((m) => `${m} m, full width, flag`)],
  [/^gauge band (\d+)-(\d+) mm full length$/, ([a, b]) => [`full length, ${a}-${b} mm, gauge band`]],
  [/^coating light lane (\d+)-(\d+) mm$/, ([a, b]) => [`full length, ${a}-${b} mm, light lane`]],
  [/^1 join at (\d+) m$/, ([at]) => [`${at} m, full width, join`]],
  [/^edge bead (\d+) mm operator side$/, ([mm]) => [`full length, 0-${mm} mm, edge bead`]],
  [/^baggy edge drive side (\d+) mm$/, ([mm], w) => [`full length, ${w - Number(mm)}-${w} mm, baggy edge`]],
];
/** Notes that say something about the whole roll and mark no place. */
const NO_PLACE = new Set(['', 'blocking risk: use first', 'stub / butt roll']);

/** The bad places of a note; throws when the note is none of the kinds above, so that none is lost unseen. */
export function placesOfNote(note: string, widthMm: number): BadPlace[] {
  if (NO_PLACE.has(note)) return [];
  for (const [pattern, toLines] of NOTES) {
    const match = pattern.exec(note);
    if (!match) continue;
    const map = parseRollMap(toLines(match.slice(1), widthMm).join('\n'));
    if (map.ok) return map.value;
  }
  throw new Error(`the demo plant has a roll note that is no bad place: ${note}`);
}
