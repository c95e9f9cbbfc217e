// The lead time that is counted on: the offer's, until enough deliveries of the supplier say better. A delivery's delay is
// counted from the day wanted, or from the day on which it could have come by the offer where it was ordered too late for
// that; what came early counts as in time.
import { addDays, daysBetween, type IsoDate } from './units.ts';

/** So many deliveries make a record. Default - verify: no source. */
export const DELIVERIES_FOR_RECORD = 5;

export interface LeadTime {
  days: number;
  /** How much later it may well come: the offer's, or the deviation of the delays. */
  spreadDays: number;
  from: 'offer' | 'record';
  deliveries: number;
  meanDelayDays: number;
}

interface DeliveryDays {
  receivedOn: IsoDate;
  wantedOn: IsoDate;
  orderedOn: IsoDate | null;
  leadTimeDays: number | null;
}

/** Days that a delivery came late. */
export function delayOf({ receivedOn, wantedOn, orderedOn, leadTimeDays }: DeliveryDays): number {
  const possible = orderedOn === null || leadTimeDays === null ? wantedOn : addDays(orderedOn, leadTimeDays);
  return Math.max(0, daysBetween(possible > wantedOn ? possible : wantedOn, receivedOn));
}

export function leadTimeOf(
  offer: { leadTimeDays: number; leadSpreadDays: number | null },
  delays: readonly number[],
): LeadTime {
  const deliveries = delays.length;
  const mean = deliveries > 0 ? delays.reduce((a, b) => a + b, 0) / deliveries : 0;
  const head = { deliveries, meanDelayDays: mean };
  if (deliveries < DELIVERIES_FOR_RECORD)
    return { ...head, days: offer.leadTimeDays, spreadDays: offer.leadSpreadDays ?? 0, from: 'offer' };
  const squares = delays.reduce((sum, delay) => sum + (delay - mean) ** 2, 0);
  const spreadDays = Math.sqrt(squares / (deliveries - 1));
  return { ...head, days: offer.leadTimeDays + mean, spreadDays, from: 'record' };
}

/** Whole days after which it is counted on. */
export const countedOnAfter = ({ days, spreadDays }: LeadTime): number => Math.ceil(days + spreadDays - 1e-9);
