// The first page: per door, what needs doing now, each line with the way to where it is dealt with.
// The most pressing line comes first; a door with nothing to do says so.
import type { RequestHandler } from 'express';
import { whatNeedsDoing } from '../usecases/whatNeedsDoing.ts';
import { showPage } from './page.ts';
import type { Services } from './services.ts';
import { answering } from './todoAnswering.ts';
import { buying } from './todoBuying.ts';
import { planning } from './todoPlanning.ts';

/** GET /: what needs doing now. */
export function homePage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const needs = await whatNeedsDoing(services.db, today);
    const doors = [
      {
        name: 'Plan the slitting',
        href: '/plans',
        todo: planning(needs, today),
        calm: 'No order waits for a plan.',
      },
      {
        name: 'Buy the film',
        href: '/buy',
        todo: buying(needs, today),
        calm: 'The film in the house covers the open orders.',
      },
      {
        name: 'Answer a customer',
        href: '/answer',
        todo: answering(needs, today),
        calm: 'No customer waits for news.',
      },
    ];
    showPage(req, res, 'home', { title: 'What needs doing now', today, yet: needs.yet, doors });
  };
}
