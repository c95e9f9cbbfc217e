// Film that is not yet in stock as coated rolls: base film coated by the plan, rolls bought by the plan.
import type { Offer } from '../../domain/problem.ts';
import type { IsoDate } from '../../domain/units.ts';
import { addDays, mmToM, mmToUm, umToMm } from '../../domain/units.ts';
import { arrivalOf, offeredRollKg } from './boughtRolls.ts';
import type { Clause, Facts, PlanFault } from './facts.ts';
import { differ, fault } from './facts.ts';

/** Which grade a base roll is of, by the single roll's name; undefined for coated rolls and unknown names. */
function gradeOf({ problem, plan }: Facts, name: string): string | undefined {
  const id = name.replace(/#\d+$/, '');
  const stock = problem.rolls.find((roll) => roll.kind === 'base' && (roll.id === name || roll.id === id));
  const bought = plan.purchases.some(({ offer }) => offer === id);
  return stock?.item ?? (bought ? problem.offers.find((offer) => offer.id === id)?.grade : undefined);
}

const coating: Clause = (facts) => {
  const seen = new Set<string>();
  return facts.plan.coating.flatMap((step, index) => {
    const where = `coating[${index}]`;
    const twice = seen.has(step.roll);
    seen.add(step.roll);
    return twice
      ? [fault(where, 'coated-once', 'each roll once', step.roll)]
      : coatingFaults(facts, index, where);
  });
};

function coatingFaults(facts: Facts, index: number, where: string): PlanFault[] {
  const step = facts.plan.coating[index]!;
  const spec = facts.problem.products.find(({ id }) => id === step.product)?.coating;
  const grade = gradeOf(facts, step.roll);
  const roll = facts.rollNamed(step.roll);
  if (!roll || grade === undefined)
    return [fault(`${where}.roll`, 'coated-roll', 'a single roll of base film', step.roll)];
  if (!spec?.grades.includes(grade))
    return [fault(where, 'coating-grade', `a product coated on ${grade}`, step.product)];
  const faults: PlanFault[] = [];
  const most = mmToM(roll.filmLengthMm - spec.lossMm);
  if (step.lengthM > most)
    faults.push(fault(`${where}.lengthM`, 'coating-length', `at most ${most}`, step.lengthM));
  if (!facts.uses.has(step.roll)) faults.push(fault(where, 'coating-used', 'a run that slits it', 'none'));
  if (roll.readyOn && !((step.readyOn ?? '') >= roll.readyOn))
    faults.push(fault(`${where}.readyOn`, 'coating-days', `${roll.readyOn} or later`, step.readyOn));
  const useBy = facts.problem.rolls.find(
    ({ id }) => id === step.roll || id === step.roll.replace(/#\d+$/, ''),
  )?.useBy;
  if (useBy && step.readyOn && addDays(step.readyOn as IsoDate, -spec.leadDays) > useBy)
    faults.push(fault(`${where}.readyOn`, 'coating-use-by', `coating begun by ${useBy}`, step.readyOn));
  return faults;
}

const purchaseLines: Clause = ({ problem, plan }) =>
  plan.purchases.flatMap((purchase, index) => {
    const where = `purchases[${index}]`;
    const offer = problem.offers.find(({ id }) => id === purchase.offer);
    if (!offer) return [fault(`${where}.offer`, 'known-offer', 'an offer of the problem', purchase.offer)];
    const kg = purchase.rolls * offeredRollKg(problem, offer, purchase.widthMm);
    const faults: PlanFault[] = [];
    if (!isOffered(offer, mmToUm(purchase.widthMm)))
      faults.push(fault(`${where}.widthMm`, 'offered-width', offeredWidths(offer), purchase.widthMm));
    if (!Number.isInteger(purchase.rolls) || purchase.rolls < 1)
      faults.push(fault(`${where}.rolls`, 'whole-rolls', 'a whole number above 0', purchase.rolls));
    if (differ(purchase.kg, kg)) faults.push(fault(`${where}.kg`, 'purchase-mass', kg, purchase.kg));
    if (differ(purchase.cost, kg * offer.pricePerKg))
      faults.push(fault(`${where}.cost`, 'purchase-cost', kg * offer.pricePerKg, purchase.cost));
    if (problem.planOn && purchase.orderBy && purchase.orderBy < problem.planOn)
      faults.push(
        fault(`${where}.orderBy`, 'purchase-dates', `${problem.planOn} or later`, purchase.orderBy),
      );
    const arrival = arrivalOf(problem, offer, purchase);
    if (arrival && !((purchase.arrivesOn ?? '') >= arrival))
      faults.push(fault(`${where}.arrivesOn`, 'purchase-dates', `${arrival} or later`, purchase.arrivesOn));
    return faults;
  });

function isOffered(offer: Offer, widthUm: number): boolean {
  if (widthUm < offer.widthMinUm || widthUm > offer.widthMaxUm) return false;
  return widthUm === offer.widthMinUm || (widthUm - offer.widthMinUm) % offer.widthStepUm === 0;
}

function offeredWidths(offer: Offer): string {
  if (offer.widthMinUm === offer.widthMaxUm) return `${umToMm(offer.widthMinUm)} mm`;
  return `${umToMm(offer.widthMinUm)} to ${umToMm(offer.widthMaxUm)} mm by ${umToMm(offer.widthStepUm)} mm`;
}

const minimumOrders: Clause = ({ problem, plan }) =>
  problem.offers.flatMap((offer) => {
    const lines = plan.purchases.filter((purchase) => purchase.offer === offer.id);
    const kg = lines.reduce((sum, line) => sum + line.kg, 0);
    return lines.length && kg < offer.minOrderKg - 1e-6
      ? [fault('purchases', 'minimum-order', `at least ${offer.minOrderKg} kg of ${offer.id}`, `${kg} kg`)]
      : [];
  });

export const supplyClauses: Clause[] = [coating, purchaseLines, minimumOrders];
