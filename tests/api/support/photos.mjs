// Photos of every kind, written by the program that LOTWRIGHT_PHOTO_SAMPLES names.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

import { temporaryFolder } from './server.mjs';

/** A folder of samples: {path(name), bytes(name)}. It goes when the test (or test file) ends. */
export function photoSamples(context) {
  const program = process.env.LOTWRIGHT_PHOTO_SAMPLES;
  if (!program) throw new Error('set LOTWRIGHT_PHOTO_SAMPLES to the photo_samples binary');
  const folder = temporaryFolder(context);
  const done = spawnSync(program, [folder], { encoding: 'utf8' });
  if (done.status !== 0) throw new Error(`photo_samples failed: ${done.error?.message ?? done.stderr}`);
  const path = (name) => join(folder, name);
  return { path, bytes: (name) => readFileSync(path(name)) };
}

export const kFormats = { 'corners.jpg': 'JPEG', 'corners.png': 'PNG', 'corners.webp': 'WebP', 'corners.heic': 'HEIF', 'corners.avif': 'AVIF' };
