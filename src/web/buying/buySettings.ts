// What the purchaser may set for a proposal: weeks to look ahead, cost of an order and of stock, service level; what is typed
// wrongly is said, and the usual value taken.
import type { Request } from 'express';
import { SERVICE_LEVELS } from '../../domain/buyingFigures.ts';
import { CURRENCY } from '../../domain/resource.ts';
import type { BuyingSettings } from '../../usecases/buying/buyingState.ts';
import { oneOf } from '../plans/planForms.ts';
import { andList, grouped } from '../words.ts';
import { weeksAsked } from './buyNeeds.ts';

/** Default - verify: common practice, no source. */
const USUAL = { orderCost: '180', holdingPct: '25', service: '95' };

interface Asked {
  settings: BuyingSettings;
  typed: { weeks: string; orderCost: string; holdingPct: string; service: string };
  faults: string[];
}

export function settingsAsked(req: Request): Asked {
  const { weeks, typed: weeksTyped, fault } = weeksAsked(req);
  const given = (name: keyof typeof USUAL): string => oneOf(req.query[name]).trim() || USUAL[name];
  const typed = {
    weeks: weeksTyped,
    orderCost: given('orderCost'),
    holdingPct: given('holdingPct'),
    service: given('service'),
  };
  const faults = fault ? [fault] : [];
  const number = (name: 'orderCost' | 'holdingPct', most: number, what: string): number => {
    const value = Number(typed[name].replace(',', '.'));
    if (/^\d+([.,]\d+)?$/.test(typed[name]) && value <= most) return value;
    faults.push(
      `"${typed[name]}" is not ${what}: 0 to ${grouped(most)} would be right. Reckoned with ${USUAL[name]}.`,
    );
    return Number(USUAL[name]);
  };
  const costPerOrder = number('orderCost', 100_000, `a cost in ${CURRENCY} per order`);
  const holdingShare = number('holdingPct', 200, 'a percentage of the price for a year in stock') / 100;
  const level = SERVICE_LEVELS[typed.service];
  if (level === undefined)
    faults.push(
      `"${typed.service}" is not one of the service levels ${andList(Object.keys(SERVICE_LEVELS))}. Reckoned with 95.`,
    );
  const serviceFactor = level ?? (SERVICE_LEVELS['95'] as number);
  return { settings: { weeks, costPerOrder, holdingShare, serviceFactor }, typed, faults };
}
