// The whole road by touch on a phone, held at 390 by 844: taps only, nothing scrolls sideways, targets are as tall as a fingertip.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch } from '../support/browser.mjs';

// look.md: 48 px targets on the bench; a step's own outcomes more.
const kTargetPx = 48;

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const plover = (await get(server, '/shipped-profiles')).json.profiles.find(({ id }) => id === 'plover-h1');
const lot = make.lotBought({ name: 'Pocket lot', lines: [{ id: 'a', profile: plover.id, model: plover.name, declared: 9 }] });
const units = [1, 2].map((number) => make.unitReceived(lot, number));
assert.equal((await postEntries(server, [make.profileSaved(plover.toml, plover.id), lot, ...units])).status, 200);
const browser = await launch();
test.after(() => browser.close());
const phone = await device(browser, { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });
const page = await phone.window();
const bench = new Bench(page);
const tap = (locator) => locator.tap();
const outcome = (at) => page.locator('.targets .target').nth(at);
const view = async () => (await get(server, '/units/1')).json;

/** Puts another step in the place of the advised one. */
async function take(name) {
  await tap(page.locator('.step-item', { hasText: name }).locator('.step-row'));
  await page.locator('.do-name', { hasText: name }).waitFor();
}

async function assertFits() {
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0, 'scrolls sideways');
}

test('from the lots to the unit and its first finding; the name is asked for once, over the lower edge', async () => {
  await page.goto(`${server.url}/lots`);
  await tap(page.getByRole('link', { name: 'Pocket lot' }));
  await tap(page.locator('a.tape').first());
  await bench.idle();
  const step = await bench.step();
  const before = await page.locator('.do-name').boundingBox();
  await tap(outcome(0));
  const strip = page.getByRole('form', { name: 'Who is at this bench?' });
  await strip.waitFor();
  // Nothing moved, and the step says what it waits for.
  assert.deepEqual(await page.locator('.do-name').boundingBox(), before);
  await page.getByText('Not recorded yet: say who you are, below.').waitFor();
  await strip.getByLabel('Your name').fill('Ada');
  await bench.recorded(step, () => tap(strip.getByRole('button', { name: 'Record', exact: true })));
  assert.notEqual(await bench.step(), step);
  await assertFits();
});

test('every target of the step is as tall as a fingertip', async () => {
  const small = await page.locator('.do .target, .do .tools .button, .chip, .ledger .outlet, .bench > * .panel > .row > .button').evaluateAll((all, least) =>
    all.filter((each) => each.getBoundingClientRect().height > 0 && each.getBoundingClientRect().height < least).map((each) => `${each.className} ${each.textContent}`), kTargetPx);
  assert.deepEqual(small, []);
});

test('not sure, can’t tell, another check’s outcome, a what-if', async () => {
  await tap(page.getByRole('button', { name: 'Not sure' }));
  assert.match(await bench.recorded('not sure', () => tap(outcome(0))), /not sure/);
  await take('Look at the case and the screws');
  await bench.recorded('can’t tell', () => tap(page.locator('.do .target', { hasText: 'Can’t tell' })));
  const chip = page.locator('.step-item', { has: page.locator('.side', { hasText: /^check/ }) }).locator('.chip').first();
  const said = await chip.locator('.said').textContent();
  await bench.recorded(said, () => tap(chip));
  await take('Look into the port');
  const { sequence } = await view();
  await tap(page.getByRole('button', { name: 'What if' }));
  await tap(outcome(1));
  await page.locator('.supposed-next').waitFor();
  await assertFits();
  await tap(page.getByRole('button', { name: 'Leave what if' }));
  assert.equal((await view()).sequence, sequence);
});

test('undo by the line that strikes it; a repair; mended', async () => {
  const words = await bench.newest();
  await bench.recorded('strike', () => tap(page.locator('.diary li').first().getByRole('button', { name: /^Strike/ })));
  assert.match(await page.locator('.diary li.is-struck').first().innerText(), new RegExp(words.slice(0, 20).replace(/[.*+?^${}()|[\]\\]/g, '\\$&')));
  await take('Fit a new battery');
  await bench.recorded('Fit a new battery', () => tap(outcome(0)));
  await bench.form('Mended');
  await bench.submit({}, 'mended');
  assert.equal(await bench.state(), 'mended');
});

test('the test sheet, item by item; graded and sold', async () => {
  await bench.form('Full test');
  const sheet = page.getByLabel('Full function test', { exact: true });
  for (const item of (await view()).tests) {
    await sheet.locator('.test-name', { hasText: item.name }).waitFor();
    await bench.recorded(item.name, async () => {
      const value = item.min !== null ? item.min * 1.05 + 0.01 : item.max !== null ? item.max * 0.9 : null;
      if (value === null) return tap(sheet.locator('.target', { hasText: 'Passed' }));
      await sheet.locator('form.reading input').fill(value.toFixed(2));
      await tap(sheet.getByRole('button', { name: 'Record', exact: true }));
    });
  }
  assert.equal(await bench.state(), 'proved');
  await tap(sheet.getByRole('button', { name: 'Close' }));
  await bench.form('Sold');
  await bench.submit({ Price: '80' }, 'sold working');
  assert.equal(await bench.state(), 'sold');
  await assertFits();
});

test('the finder by touch: what it names is opened, several are chosen from', async () => {
  await tap(page.getByRole('button', { name: 'Find a unit, key slash' }));
  await page.getByLabel('Unit or lot').fill('S-');
  await tap(page.getByRole('button', { name: 'Open' }));
  await page.getByText('2 are meant.').waitFor();
  await assertFits();
  await tap(page.locator('.choices .chip').nth(1));
  await page.waitForURL('**/units/2');
});

test('the pages complained of nothing', () => phone.assertQuiet());
