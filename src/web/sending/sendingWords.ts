// How packages, masses and what may be sent are written on the pages of dispatch.
import type { OrderToSend } from '../../usecases/sending/readSending.ts';
import { count, grouped, howSoon, rowHref } from '../words.ts';

/** 195212340000000012 -> "1 9521234 000000001 2": not by prefix, which may be longer, but in groups that can be read. */
export const ssccWords = (sscc: string): string => sscc.replace(/^(\d)(\d{7})(\d{9})(\d)$/, '$1 $2 $3 $4');
export const packageHref = (sscc: string): string => `/packages/${sscc}`;
const packHref = (order: string): string => `/pack/${encodeURIComponent(order)}`;
const packListHref = (order: string): string => `${rowHref('orders', order)}/pack-list`;
export const kilos = (massMg: number): string =>
  massMg > 0 ? `${grouped(massMg / 1e6, 2)} kg` : 'not weighed';

/** "least 9, most 11"; "exactly 5". */
function rangeWords({ least, most }: Pick<OrderToSend, 'least' | 'most'>): string {
  return least === most ? `exactly ${grouped(least)}` : `${grouped(least)} to ${grouped(most)}`;
}

export function orderLine(order: OrderToSend, today: string) {
  const late = order.dueOn !== null && order.dueOn < today;
  return {
    order: order.order,
    href: rowHref('orders', order.order),
    packHref: packHref(order.order),
    packListHref: packListHref(order.order),
    customer: order.customerName,
    customerHref: rowHref('customers', order.customer),
    product: order.product,
    width: grouped(order.widthUm / 1000),
    length: grouped(order.lengthMm / 1000),
    due: order.dueOn === null ? '' : `${order.dueOn}, ${howSoon(order.dueOn, today)}`,
    dueMark: late && order.status !== 'done' ? 'stop' : order.dueOn === today ? 'look' : '',
    priority: order.priority,
    status: order.status,
    ordered: grouped(order.rolls),
    range: rangeWords(order),
    sent: grouped(order.sent),
    packed: grouped(order.packed),
    ready: grouped(order.ready),
    held: order.held > 0 ? grouped(order.held) : '',
    coming: order.coming > 0 ? grouped(order.coming) : '',
    room: order.room,
    /** What the over- and under-run rule says now. */
    rule: ruleWords(order),
  };
}

/** What may still be sent, in one sentence. */
function ruleWords({ rolls, least, most, sent, packed, room }: OrderToSend): string {
  const allowed =
    least === most
      ? `Exactly ${count(most, 'roll')} must be sent`
      : `Ordered ${count(rolls, 'roll')}; at least ${grouped(least)} and at most ${grouped(most)} may be sent`;
  const gone = `${grouped(sent)} sent, ${grouped(packed)} packed`;
  const missing = least - sent - packed;
  const rest =
    room === 0
      ? 'no more may be packed'
      : missing > 0
        ? `${grouped(missing)} to ${grouped(room)} still to pack`
        : `up to ${grouped(room)} more may be packed`;
  return `${allowed}: ${gone}, ${rest}.`;
}
