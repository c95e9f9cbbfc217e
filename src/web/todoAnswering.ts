// What the seller has to do: customers who wait for late orders, products not to promise from stock.
import { group } from 'd3-array';
import type { Needs, OrderDue } from '../usecases/whatNeedsDoing.ts';
import { orderLinks, squareMetres, type Todo } from './todo.ts';
import { count, howSoon } from './words.ts';

/** What the seller has to do, the most pressing first. */
export function answering(needs: Needs, today: string): Todo[] {
  const byCustomer = group(needs.late, (order) => order.customer);
  const told = [...byCustomer].map(([customer, orders]) => lateCustomer(customer, orders, today));
  const doubtful = needs.short.filter((balance) => balance.missingFilmM2 > 0);
  return [
    ...told,
    ...doubtful.map((balance) => ({
      urgency: 'look' as const,
      what: `${balance.product} ${balance.name}: do not promise more from stock.`,
      why: `${count(balance.orders, 'open order asks', 'open orders ask')} for ${squareMetres(balance.areaM2)}, more than is coated and what film there is to coat.`,
      links: [{ text: 'what there is', href: `/answer?product=${encodeURIComponent(balance.product)}` }],
    })),
  ];
}

function lateCustomer(customer: string, orders: OrderDue[], today: string): Todo {
  const first = orders[0] as OrderDue;
  return {
    urgency: 'stop',
    what: `${first.customerName} waits for ${count(orders.length, 'late order')}.`,
    why: `${first.code}, ${count(first.rolls, 'roll')} of ${first.product}, was due ${howSoon(first.dueOn, today)}; it is ${first.status === 'planned' ? 'planned' : 'not planned'}.`,
    links: orderLinks(orders, `/orders?customer=${encodeURIComponent(customer)}&sort=dueOn`),
  };
}
