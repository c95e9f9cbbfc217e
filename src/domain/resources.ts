// The tables of the plant, by name, in the order in which they can be filled: what is referred to comes first.

import type { Resource, ResourceName } from './resource.ts';
import { fillers } from './resourceFillers.ts';
import { forecasts } from './resourceForecasts.ts';
import { rates } from './resourceRates.ts';
import { rolls } from './resourceRolls.ts';
import { grades, offers, suppliers } from './resourcesBought.ts';
import { products, slitters } from './resourcesMade.ts';
import { customers, orders } from './resourcesSold.ts';

export const RESOURCES: Readonly<Record<ResourceName, Resource>> = {
  rates,
  suppliers,
  grades,
  offers,
  slitters,
  products,
  rolls,
  customers,
  orders,
  fillers,
  forecasts,
};
