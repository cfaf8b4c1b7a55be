// Runs the view-models' tests: each *.test.ts is bundled and given to Node's own test runner.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

import { bundling, here, prepare } from './tools.mjs';

await prepare();
const esbuild = await import('esbuild');
const tests = readdirSync(join(here, 'src', 'lib')).filter((name) => name.endsWith('.test.ts'));
if (tests.length === 0) throw new Error('ui: no tests found in src/lib');
const out = mkdtempSync(join(tmpdir(), 'lotwright-ui-test-'));
try {
  await esbuild.build({
    ...bundling,
    entryPoints: tests.map((name) => join('src', 'lib', name)),
    outdir: out,
    outExtension: { '.js': '.mjs' },
    platform: 'node',
    sourcemap: 'inline',
  });
  const built = readdirSync(out).filter((name) => name.endsWith('.test.mjs')).map((name) => join(out, name));
  const run = spawnSync(process.execPath, ['--enable-source-maps', '--test', ...built], { stdio: 'inherit' });
  process.exitCode = run.status ?? 1;
} finally {
  rmSync(out, { recursive: true, force: true });
}
