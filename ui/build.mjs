// Builds the client: `node build.mjs [--out DIR] [--embed FILE.cpp] [--types-only]`.
// Writes index.html, app-<hash>.js, app-<hash>.css and fonts; text also gzipped beside itself.
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { extname, join, relative, resolve } from 'node:path';
import { gzipSync } from 'node:zlib';

import { bundling, here, prepare, typecheck } from './tools.mjs';

const kFirstLoadLimit = 150_000;
const kContentTypes = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
};
const kAlreadyPacked = new Set(['.woff2']);

function argument(name, otherwise) {
  const at = process.argv.indexOf(name);
  return at < 0 ? otherwise : process.argv[at + 1];
}

function filesBelow(folder) {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    return entry.isDirectory() ? filesBelow(path) : [path];
  }).sort();
}

async function bundle(out) {
  const esbuild = await import('esbuild');
  rmSync(out, { recursive: true, force: true });
  mkdirSync(out, { recursive: true });
  const result = await esbuild.build({
    ...bundling,
    entryPoints: { app: 'src/main.tsx' },
    outdir: out,
    entryNames: '[name]-[hash]',
    // A screen that few open comes when it is opened: `import()` makes a file of its own.
    splitting: true,
    chunkNames: 'part-[hash]',
    assetNames: 'fonts/[name]-[hash]',
    publicPath: '/',
    loader: { '.woff2': 'file' },
    minify: true,
    metafile: true,
    legalComments: 'none',
  });
  const names = Object.keys(result.metafile.outputs).map((path) => relative(out, resolve(here, path)));
  const named = (ending) => names.find((name) => name.startsWith('app-') && name.endsWith(ending));
  const later = laterParts(result.metafile.outputs, out);
  const html = readFileSync(join(here, 'index.html'), 'utf8')
    .replace('app.css', named('.css'))
    .replace('app.js', named('.js'))
    .replace('<!-- fonts -->\n', names.filter((name) => name.startsWith('fonts/') && loadsFirst(name)).sort().map((name) =>
      `<link rel="preload" href="/${name}" as="font" type="font/woff2" crossorigin>\n`).join(''))
    .replace('</head>', names.filter((name) => name.startsWith('part-') && !later.has(`/${name}`)).sort().map((name) =>
      `<link rel="modulepreload" href="/${name}">\n`).join('') + '</head>');
  writeFileSync(join(out, 'index.html'), html);
  writeFileSync(join(out, 'mark.svg'), readFileSync(join(here, 'mark.svg')));
  return later;
}

/** Scripts that the page does not load by itself: those that no chain of plain imports leads to. */
function laterParts(outputs, out) {
  const scripts = Object.keys(outputs).filter((path) => path.endsWith('.js'));
  const first = new Set(scripts.filter((path) => outputs[path].entryPoint === 'src/main.tsx'));
  for (const path of first) {
    for (const { path: imported, kind } of outputs[path].imports) if (kind === 'import-statement') first.add(imported);
  }
  return new Set(scripts.filter((path) => !first.has(path)).map((path) => `/${relative(out, resolve(here, path))}`));
}

/** What every visitor loads first: page, scripts, style and the fonts of the Latin alphabet. */
const loadsFirst = (path, later = new Set()) => !path.endsWith('.svg') && !path.includes('latin-ext') && !later.has(path);

function describe(out) {
  return filesBelow(out).filter((file) => !file.endsWith('.gz')).map((file) => {
    const bytes = readFileSync(file);
    const ending = extname(file);
    const packed = !kAlreadyPacked.has(ending);
    const sent = packed ? gzipSync(bytes, { level: 9 }) : bytes;
    if (packed) writeFileSync(`${file}.gz`, sent);
    return {
      path: `/${relative(out, file)}`,
      file: packed ? `${file}.gz` : file,
      type: kContentTypes[ending],
      etag: createHash('sha256').update(bytes).digest('hex').slice(0, 20),
      gzip: packed,
      size: bytes.length,
      sent: sent.length,
    };
  });
}

function report(assets, later) {
  for (const asset of assets) {
    console.log(`ui: ${asset.path.padEnd(66)} ${String(asset.size).padStart(7)} B ${String(asset.sent).padStart(7)} B sent`);
  }
  const first = assets.filter((asset) => loadsFirst(asset.path, later)).reduce((sum, asset) => sum + asset.sent, 0);
  console.log(`ui: first load ${first} B of ${kFirstLoadLimit} B`);
  if (first > kFirstLoadLimit) {
    console.error(`ui: the first load is ${first} B, above ${kFirstLoadLimit} B: load less or load it later`);
    process.exit(1);
  }
}

const quoted = (text) => JSON.stringify(text);

function writeEmbedding(file, assets) {
  const symbol = (index) => `lotwright_ui_asset_${index}`;
  const data = assets.map((asset, index) => `__asm__(
    ".section .rodata\\n.balign 16\\n"
    ".global ${symbol(index)}\\n${symbol(index)}:\\n"
    ".incbin \\"" ${quoted(asset.file)} "\\"\\n"
    ".global ${symbol(index)}_end\\n${symbol(index)}_end:\\n.byte 0\\n.previous\\n");
extern "C" const unsigned char ${symbol(index)}[];
extern "C" const unsigned char ${symbol(index)}_end[];`).join('\n');
  const rows = assets.map((asset, index) => `      Asset{${quoted(asset.path)}, ${quoted(asset.type)}, ${quoted(`"${asset.etag}"`)},
            std::span<const unsigned char>(${symbol(index)}, ${symbol(index)}_end), ${asset.gzip}},`).join('\n');
  writeFileSync(file, `// Generated by ui/build.mjs.
#include "ui_assets.h"

#include <array>

${data}

namespace lotwright::ui {

std::span<const Asset> assets() {
  static const std::array<Asset, ${assets.length}> kAssets{
${rows}
  };
  return kAssets;
}

}  // namespace lotwright::ui
`);
}

await prepare();
if (!process.argv.includes('--types-only')) {
  typecheck();
  const out = resolve(argument('--out', join(here, 'dist')));
  const later = await bundle(out);
  const assets = describe(out);
  report(assets, later);
  const embed = argument('--embed', '');
  if (embed) writeEmbedding(resolve(embed), assets);
}
