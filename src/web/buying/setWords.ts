// Where a width comes from: the sets across the web into which the optimisation cuts its film.
import { mmToM, umToMm } from '../../domain/units.ts';
import type { GradeProposal, SetOfFilm } from '../../usecases/buying/proposeBuying.ts';
import { andList, count, grouped, rowHref } from '../words.ts';

/** "7 x 96 + 2 x 180 mm". */
export function setModel({ webUm, product, lengthMm, strips, filmM2, trim }: SetOfFilm) {
  return {
    width: grouped(umToMm(webUm)),
    product,
    productHref: rowHref('products', product),
    length: grouped(mmToM(lengthMm)),
    set: `${strips.map(({ widthUm, many }) => `${many} x ${grouped(umToMm(widthUm))}`).join(' + ')} mm`,
    film: grouped(Math.round(filmM2), 0),
    trim: `${grouped(100 * trim, 1)} %`,
  };
}

export function setsWords({ grade, sets }: GradeProposal): string {
  const film = sets.reduce((m2, one) => m2 + one.filmM2, 0);
  if (film <= 0) return '';
  const trimmed = sets.reduce((m2, one) => m2 + one.filmM2 * one.trim, 0);
  const widths = [...new Set(sets.map(({ webUm }) => grouped(umToMm(webUm))))];
  return `Why ${andList(widths)} mm of ${grade}: ${count(sets.length, 'set')} across the web, ${grouped((100 * trimmed) / film, 1)} % trim`;
}
