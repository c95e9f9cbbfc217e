// `npm run bench`: how good and how fast the planner is, measured on this machine in one run. Every plan goes through the
// independent checker. Times are the processor's, on one core: other work on the machine disturbs them less.
//   --only-section S    stock, setups, growth, full, memory, genealogy or sales; without it all, in about forty minutes
//   --only TEXT         of `stock`: instances whose name or source holds the text
//   --seconds S         the planner's time limit for each problem (10)
//   --arcflow-seconds S the arc-flow model's time limit for each (60)
//   --budget S          stop starting arc-flow models after this much time of theirs in all (900)
//   --no-arcflow        the planner only
import { parseArgs } from 'node:util';
import { benchFull } from './fullSection.ts';
import { benchGenealogy } from './genealogySection.ts';
import { benchGrowth } from './growthSection.ts';
import { benchMemory } from './memorySection.ts';
import { benchSales } from './salesSection.ts';
import { benchSetups } from './setupsSection.ts';
import { benchStock } from './stockSection.ts';

const { values } = parseArgs({
  options: {
    'only-section': { type: 'string' },
    only: { type: 'string', default: '' },
    seconds: { type: 'string', default: '10' },
    'arcflow-seconds': { type: 'string', default: '60' },
    budget: { type: 'string', default: '900' },
    'no-arcflow': { type: 'boolean', default: false },
  },
});
const [seconds, arcFlowSeconds, budget] = [values.seconds, values['arcflow-seconds'], values.budget].map(
  Number,
) as [number, number, number];

const sections: Record<string, () => void | Promise<void>> = {
  stock: () =>
    benchStock({ only: values.only, seconds, arcFlowSeconds, budget: values['no-arcflow'] ? 0 : budget }),
  setups: () => benchSetups(seconds),
  growth: () => benchGrowth(seconds),
  full: () => benchFull(seconds),
  memory: () => benchMemory(seconds),
  genealogy: benchGenealogy,
  sales: benchSales,
};
const chosen = values['only-section'] ?? (values.only ? 'stock' : undefined);
if (chosen !== undefined && !sections[chosen])
  throw new Error(`there is no section ${chosen}: ${Object.keys(sections).join(', ')}`);
for (const [name, section] of Object.entries(sections)) {
  if (chosen !== undefined && chosen !== name) continue;
  console.log(`\n== ${name}`);
  await section();
}
