// What the purchaser has to do: film that is late, film that is short, film that waits for a decision or grows old.
import type { ProductBalance } from '../usecases/planning/stockAgainstOrders.ts';
import type { Needs } from '../usecases/whatNeedsDoing.ts';
import { lateTodo } from './lateFilmWords.ts';
import { heldLines, heldWords, squareMetres, type Todo, useByLines } from './todo.ts';
import { andList, howSoon } from './words.ts';

/** What the purchaser has to do, the most pressing first. */
export function buying(needs: Needs, today: string): Todo[] {
  const missing = needs.short.filter((balance) => balance.missingFilmM2 > 0);
  return [
    ...needs.lateFilm.map(lateTodo),
    ...missing.map((balance) => toBuy(balance, today)),
    ...heldLines(needs.film),
    ...useByLines(needs.film, today),
  ].filter((line) => line !== undefined);
}

function toBuy(balance: ProductBalance, today: string): Todo {
  const film = balance.grades.length > 0 ? andList(balance.grades) : 'no grade is entered for it';
  const due = balance.firstDue
    ? ` The first order is due ${balance.firstDue} (${howSoon(balance.firstDue, today)}).`
    : '';
  return {
    urgency: 'stop',
    what: `Film for ${balance.product} ${balance.name} is short by at least ${squareMetres(balance.missingFilmM2)}.`,
    why: `It may be coated on: ${film}. Released film: ${squareMetres(balance.filmM2)}${heldWords(balance.heldFilmM2)}.${due}`,
    links: [
      ...balance.grades
        .slice(0, 3)
        .map((grade) => ({ text: `offers for ${grade}`, href: `/buy#${encodeURIComponent(grade)}` })),
      { text: 'its orders', href: `/orders?product=${encodeURIComponent(balance.product)}&status=open` },
    ],
  };
}
