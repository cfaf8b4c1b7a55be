// Photos, by a phone on its camera page and at the bench: every format, labels in the picture, the bench's unit, the number
// that is asked for, moving, undoing, a server that is away, refusals, large size, erasing.
import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { kFormats, photoSamples } from '../../api/support/photos.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';

const kPhone = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const context = { after: (work) => test.after(work) };
const samples = photoSamples(context);
const server = await start(temporaryFolder(context));
test.after(() => server.stop());
const { units, all } = make.shop(4);
await postEntries(server, all);
const browser = await launch();
test.after(() => browser.close());

const photosOf = async (number) => (await get(server, `/units/${number}`)).json.photos;
const shots = (page) => page.locator('.shot');
const latest = (page) => shots(page).first();
const shutter = (page) => page.getByLabel('Take a photo', { exact: true }).and(page.locator('input'));

async function phone(options = {}) {
  const own = await device(browser, { ...kPhone, ...options });
  await named(own.context, 'Ben');
  const page = await own.window();
  await page.goto(`${server.url}/camera`);
  await page.locator('.camera').waitFor();
  return { ...own, page };
}

/** Takes a photo and waits until it belongs to a unit; gives the words beside it. */
async function take(page, file) {
  const before = await shots(page).count();
  await shutter(page).setInputFiles(file);
  await page.waitForFunction((count) => document.querySelectorAll('.shot').length === count + 1 && document.querySelector('.shot.at-kept:first-child'), before);
  return latest(page).locator('.shot-words p').innerText();
}

/** The colours in the corners of a picture as the browser shows it. */
function cornersOf(page, url) {
  return page.evaluate(async (address) => {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.naturalWidth;
    canvas.height = image.naturalHeight;
    const pen = canvas.getContext('2d', { willReadFrequently: true });
    pen.drawImage(image, 0, 0);
    const at = (x, y) => {
      const [red, green, blue] = pen.getImageData(x * canvas.width, y * canvas.height, 1, 1).data;
      return blue > 128 ? 'blue' : red > 128 && green > 128 ? 'yellow' : red > 128 ? 'red' : 'green';
    };
    return [at(0.2, 0.2), at(0.8, 0.2), at(0.2, 0.8), at(0.8, 0.8)].join(' ');
  }, url);
}

async function assertAccessible(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate((rules) => window.axe.run(document, { runOnly: { type: 'tag', values: rules } }), kRules);
  assert.deepEqual(found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join()}`), [], what);
  assert.ok(found.passes.length > 5);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${what} scrolls sideways`);
}

const bench = await device(browser);
await named(bench.context, 'Ada');
const desk = await bench.window();
const work = new Bench(desk);
await desk.goto(server.url);

test('a phone beside the bench: each format goes to the unit that the bench has open', async () => {
  await work.open(1);
  const { page, assertQuiet } = await phone();
  await page.locator('.camera-open', { hasText: 'Photos go to unit 1, open at bench-1' }).waitFor();
  for (const name of Object.keys(kFormats)) {
    assert.match(await take(page, samples.path(name)), /Unit 1\s+open at bench-1/, name);
  }
  await desk.locator('.thumb').nth(4).waitFor();
  const photos = await photosOf(1);
  assert.equal(photos.length, 5);
  for (const { attachment, who } of photos) {
    assert.equal(who, 'Ben');
    for (const size of ['thumb', 'screen']) {
      assert.equal(await cornersOf(page, `${server.url}/api/v1/attachments/${attachment}/picture?size=${size}`), 'red green blue yellow');
    }
  }
  await assertAccessible(page, 'the camera page');
  assertQuiet();
});

test('several at once each find their unit', async () => {
  const { page } = await phone();
  await page.locator('.camera-open', { hasText: 'unit 1' }).waitFor();
  await page.getByLabel('Choose several').and(page.locator('input')).setInputFiles(['label-1.jpg', 'label-2.jpg'].map(samples.path));
  await page.locator('.shot.at-kept').nth(1).waitFor();
  const words = await page.locator('.shot .shot-words p').allInnerTexts();
  assert.match(words.find((text) => text.startsWith('Unit 2')), /by the label in the picture; bench-1 had unit 1 open/);
  assert.match(words.find((text) => text.startsWith('Unit 1')), /by the label in the picture$/);
});

test('the label goes before the bench; the photo is moved, undone and put back', async () => {
  const { page, assertQuiet } = await phone();
  await page.locator('.camera-open', { hasText: 'unit 1' }).waitFor();
  const before = (await photosOf(2)).length;
  assert.match(await take(page, samples.path('label-S-2.jpg')), /Unit 2\s+by the label in the picture; bench-1 had unit 1 open/);
  assert.equal((await photosOf(2)).length, before + 1);
  await latest(page).getByRole('button', { name: 'Move the photo of unit 2' }).click();
  await latest(page).getByLabel('Unit’s number').fill('3');
  await latest(page).getByRole('button', { name: 'Move it' }).click();
  await latest(page).locator('.camera-number', { hasText: /^3$/ }).waitFor();
  assert.deepEqual([(await photosOf(2)).length, (await photosOf(3)).length], [before, 1]);
  await latest(page).getByRole('button', { name: 'Undo the photo of unit 3' }).click();
  await page.locator('.shot.at-undone').waitFor();
  assert.equal((await photosOf(3)).length, 0);
  await latest(page).getByRole('button', { name: 'Put it back' }).click();
  await page.locator('.shot.at-kept').waitFor();
  assert.equal((await photosOf(3)).length, 1);
  assertQuiet();
});

test('with two labels, or no bench, the number is asked for', async () => {
  await desk.goto(`${server.url}/lots`);
  const { page } = await phone();
  await page.locator('.camera-open', { hasText: 'No unit is open at bench-1' }).waitFor();
  await shutter(page).setInputFiles(samples.path('labels-1-2.jpg'));
  await page.locator('.shot.at-asking', { hasText: 'Labels of 2 units are in the picture' }).waitFor();
  await latest(page).getByRole('button', { name: 'Unit 2', exact: true }).waitFor();
  await latest(page).getByLabel('Unit’s number').fill('99');
  await latest(page).getByRole('button', { name: 'Put it there' }).click();
  await latest(page).locator('.bad', { hasText: 'No unit bears the number 99.' }).waitFor();
  await assertAccessible(page, 'the camera page that asks');
  await latest(page).getByLabel('Unit’s number').fill('4');
  await latest(page).getByRole('button', { name: 'Put it there' }).click();
  await page.locator('.shot.at-kept').waitFor();
  assert.equal((await photosOf(4)).length, 1);
  await shutter(page).setInputFiles(samples.path('label-0000-nobody.jpg'));
  await page.locator('.shot.at-asking', { hasText: 'No unit bears “0000-nobody”' }).waitFor();
  await latest(page).getByRole('button', { name: 'Discard' }).click();
  await page.locator('.shot.at-asking').waitFor({ state: 'detached' });
});

test('while the server is away photos wait visibly, over a reload too', async () => {
  await work.open(4);
  const { page } = await phone();
  await page.locator('.camera-open', { hasText: 'unit 4' }).waitFor();
  const before = (await photosOf(4)).length;
  await page.route('**/api/v1/photos', (route) => route.abort());
  await shutter(page).setInputFiles(samples.path('corners.jpg'));
  await page.locator('.strip', { hasText: 'Not sent yet: 1 photo' }).waitFor();
  await page.reload();
  await page.locator('.strip', { hasText: 'Not sent yet: 1 photo' }).waitFor();
  assert.equal((await photosOf(4)).length, before);
  await page.unroute('**/api/v1/photos');
  await page.getByRole('button', { name: 'Send now' }).first().click();
  await page.locator('.shot.at-kept', { hasText: 'open at bench-1' }).waitFor();
  assert.equal((await photosOf(4)).length, before + 1);
});

test('what is no photo, or too large, is refused with what to do', async () => {
  const { page } = await phone();
  writeFileSync(samples.path('too-large.jpg'), Buffer.alloc(33 * 1024 * 1024, 0xff));
  await shutter(page).setInputFiles(samples.path('too-large.jpg'));
  await latest(page).locator('.bad', { hasText: 'The photo has 33 MB, at most 32 are taken. Set the camera to a smaller picture' }).waitFor();
  await shutter(page).setInputFiles({ name: 'log.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('time,A\n0,0.4\n') });
  await latest(page).locator('.bad', { hasText: 'no photo of a known format: send a JPEG' }).waitFor();
  await shutter(page).setInputFiles(samples.path('bomb.jpg'));
  await latest(page).locator('.bad', { hasText: '65000 × 65000 pixels' }).waitFor();
  await shutter(page).setInputFiles(samples.path('cut.jpg'));
  await latest(page).locator('.bad', { hasText: 'damaged or cut off' }).waitFor();
});

test('at the bench: by key, by drop, large by keyboard, struck and erased', async () => {
  await work.open(3);
  const before = await desk.locator('.thumb').count();
  const chooser = desk.waitForEvent('filechooser');
  await work.keys('p');
  await (await chooser).setFiles([samples.path('corners.heic'), samples.path('corners.avif')]);
  await desk.locator('.thumb').nth(before + 1).waitFor();
  const bytes = samples.bytes('corners.png').toString('base64');
  await desk.evaluate((text) => {
    const file = new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], 'corners.png', { type: 'image/png' });
    const carried = new DataTransfer();
    carried.items.add(file);
    for (const type of ['dragover', 'drop']) document.body.dispatchEvent(new DragEvent(type, { bubbles: true, cancelable: true, dataTransfer: carried }));
  }, bytes);
  await desk.locator('.thumb').nth(before + 2).waitFor();
  assert.equal((await get(server, '/units/3')).json.logs.length, 0, 'a photo is no meter log');
  await assertAccessible(desk, 'the bench with photos');

  await work.idle();
  const { sequence } = (await get(server, '/status')).json;
  await desk.locator('.thumb').first().focus();
  await desk.keyboard.press('Enter');
  const large = desk.locator('dialog.large-photo');
  await large.waitFor();
  await large.getByText(`1 of ${before + 3}`).waitFor();
  await desk.keyboard.press('ArrowRight');
  await large.getByText(`2 of ${before + 3}`).waitFor();
  await desk.waitForFunction(() => document.querySelector('.large-photo img')?.naturalWidth > 0);
  await desk.keyboard.press('1');
  await desk.keyboard.press('ArrowLeft');
  await assertAccessible(desk, 'a large photo');
  await desk.keyboard.press('Escape');
  await large.waitFor({ state: 'detached' });
  assert.equal((await get(server, '/status')).json.sequence, sequence, 'a digit over a photo records nothing');
  assert.ok(await desk.evaluate(() => document.activeElement.classList.contains('thumb')), 'the focus comes back');

  await desk.locator('.thumb').last().click();
  await large.getByRole('button', { name: 'Erase …' }).click();
  await large.getByLabel('Why (may stay empty)').fill('shows a person');
  await large.getByRole('button', { name: 'Erase for good' }).click();
  await large.getByText(/Erased by Ada.*shows a person/).waitFor();
  await desk.keyboard.press('Escape');
  await desk.locator('.thumb.erased', { hasText: 'erased by Ada' }).waitFor();
  const gone = (await photosOf(3)).find(({ erased }) => erased !== null);
  assert.equal((await get(server, `/attachments/${gone.attachment}`)).status, 410);

  await desk.locator('.thumb').first().click();
  await large.getByRole('button', { name: 'Not of this unit: strike' }).click();
  await large.waitFor({ state: 'detached' });
  await work.idle();
  assert.equal((await photosOf(3)).length, before + 2);
  bench.assertQuiet();
});

test('the camera page by night', async () => {
  const { page } = await phone({ colorScheme: 'dark' });
  await take(page, samples.path('label-1.jpg'));
  await assertAccessible(page, 'the camera page by night');
});
