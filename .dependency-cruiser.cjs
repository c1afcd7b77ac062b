// The direction of imports, as one table (docs/conventions.md and CONTRIBUTING.md say why).
// Each area of the engine may import only the areas listed after it, and itself.
const engineAreas = {
  units: [],
  numerics: [],
  web: ['units', 'numerics'],
  line: ['units', 'numerics', 'web'],
  roll: ['units', 'numerics', 'web'],
  recording: ['units', 'numerics', 'web', 'line', 'roll'],
  identify: ['units', 'numerics', 'web', 'line', 'roll', 'recording'],
  feedforward: ['units', 'numerics', 'web', 'line', 'roll', 'recording', 'identify'],
  program: ['units', 'numerics', 'web', 'line', 'roll', 'feedforward'],
  report: ['units', 'numerics', 'web', 'line', 'roll', 'recording', 'identify', 'feedforward', 'program'],
  project: ['units', 'web', 'line', 'roll', 'recording', 'identify', 'feedforward', 'program'],
};

const areaRules = Object.entries(engineAreas).map(([area, allowed]) => ({
  name: `engine-${area}`,
  comment: `src/engine/${area} may import only itself${allowed.length ? ', ' : ''}${allowed.join(', ')} and the error and finding types`,
  severity: 'error',
  from: { path: `^src/engine/${area}/` },
  to: {
    path: '^src/',
    pathNot: `^src/engine/(${[area, ...allowed].join('|')})/|^src/engine/(errors|findings)\\.ts$`,
  },
}));

module.exports = {
  forbidden: [
    {
      name: 'engine-has-no-dependency',
      comment: 'the engine is pure TypeScript: no package, no Node module',
      severity: 'error',
      from: { path: '^src/engine/' },
      to: { pathNot: '^src/engine/' },
    },
    {
      name: 'node-to-engine-only',
      severity: 'error',
      from: { path: '^src/node/' },
      to: { path: '^src/', pathNot: '^src/(node|engine)/' },
    },
    {
      name: 'server-to-node-and-engine-only',
      severity: 'error',
      from: { path: '^src/server/' },
      to: { path: '^src/', pathNot: '^src/(server|node|engine)/' },
    },
    {
      name: 'cli-to-server-node-and-engine-only',
      severity: 'error',
      from: { path: '^src/cli/' },
      to: { path: '^src/', pathNot: '^src/(cli|server|node|engine)/' },
    },
    {
      name: 'workbench-to-engine-only',
      comment:
        'a page runs in the browser: it computes with the engine and asks the server for everything else',
      severity: 'error',
      from: { path: '^src/workbench/' },
      to: { path: '^src/', pathNot: '^src/(workbench|engine)/' },
    },
    {
      name: 'test-plant-shares-no-code',
      comment: 'the invented plants check the identification, so they must not share its code',
      severity: 'error',
      from: { path: '^test/support/plant/' },
      to: { path: '^src/' },
    },
    { name: 'no-circular', severity: 'error', from: {}, to: { circular: true } },
    ...areaRules,
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'types'] },
  },
};
