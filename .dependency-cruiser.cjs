// Who may import whom. `npm run check:imports` applies it; tests/architecture.test.ts makes sure it saw the modules.
const only = (name, from, allowed) => ({
  name,
  severity: 'error',
  from: { path: `^src/${from}/` },
  to: { path: '^src/', pathNot: allowed.map((a) => `^src/${a}`) },
});
module.exports = {
  forbidden: [
    { name: 'no-cycles', severity: 'error', from: {}, to: { circular: true } },
    only('domain-imports-nothing', 'domain', ['domain/']),
    only('planner-is-pure', 'planner', ['planner/', 'domain/']),
    {
      name: 'planner-has-no-io',
      severity: 'error',
      from: { path: '^src/(planner|domain)/' },
      to: { dependencyTypes: ['core'] },
    },
    only('store-knows-only-domain', 'store', ['store/', 'domain/', 'settings']),
    only('usecases', 'usecases', ['usecases/', 'planner/', 'store/', 'domain/', 'settings']),
    only('jobs', 'jobs', ['jobs/', 'usecases/', 'domain/', 'settings']),
    only('web', 'web', ['web/', 'usecases/', 'jobs/', 'domain/', 'settings']),
    only('api', 'api', ['api/', 'usecases/', 'jobs/', 'domain/', 'settings']),
    only('cli', 'cli', ['cli/', 'usecases/', 'jobs/', 'domain/', 'settings']),
    {
      name: 'only-lp-door-imports-the-lp-solver',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/planner/solvers/(lp|highs)\\.ts$' },
      to: { path: 'node_modules/(javascript-lp-solver|highs)/' },
    },
    {
      name: 'the-checker-stands-alone',
      severity: 'error',
      from: { path: '^src/planner/checkPlan' },
      to: { path: '^src/planner/', pathNot: '^src/planner/checkPlan' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: { extensions: ['.ts', '.js', '.json'] },
  },
};
