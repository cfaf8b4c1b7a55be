// Search and scan from any screen: number, serial, label, place; what is meant by several is chosen by a digit.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';

// A scanner's keys come faster than a person's (ui/src/lib/keys.ts: 35 ms).
const kScannerMs = 6;

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const { all, units, lot } = make.shop(12);
assert.equal((await postEntries(server, all)).status, 200);
const due = new Date(Date.now() + 3_600_000).toISOString();
assert.equal((await postEntries(server, [
  make.about(units[3], 'wait-started', { what: 'drying in the warm cabinet', due }),
  make.about(units[6], 'wait-started', { what: 'gluing in the warm cabinet', due }),
  make.note(units[8], 'Screws in the blue box'),
])).status, 200);
const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const bench = new Bench(page);
/** Keys as a scanner sends them, Enter at the end. All of them go out at once, as each waits for the browser's answer. */
const scan = (text) => page.evaluate(async ([signs, gap]) => {
  for (const key of [...signs, 'Enter']) {
    const target = document.activeElement ?? document.body;
    target.dispatchEvent(new KeyboardEvent('keydown', { key, code: /^\d$/.test(key) ? `Digit${key}` : key, bubbles: true, cancelable: true }));
    await new Promise((done) => setTimeout(done, gap));
  }
}, [text, kScannerMs]);
/** `/`, a text and Enter. */
async function find(text) {
  await bench.keys('/');
  await page.waitForFunction(() => document.activeElement?.id === 'finder');
  await page.keyboard.type(text);
  await page.keyboard.press('Enter');
}
const opened = async (number) => {
  await page.waitForURL(`**/units/${number}`);
  // Where that unit was shown before, the address says nothing of the finder.
  await page.locator('#finder').waitFor({ state: 'detached' });
};

test('a scan opens its unit from any screen: a number, a serial, a label’s address', async () => {
  for (const [path, text, number] of [['/now', '7', 7], ['/money', 'S-3', 3], ['/lots', `${server.url}/units/9`, 9], [`/lots/${lot.id}`, 'S-12', 12], ['/units/1', '11', 11]]) {
    await page.goto(server.url + path);
    await page.locator('main h1').first().waitFor();
    const { sequence } = (await get(server, '/status')).json;
    await scan(text);
    await opened(number);
    await bench.idle();
    // No key of the scan was taken for an outcome, an undo or a letter of the bench.
    await page.waitForTimeout(600);
    assert.equal((await get(server, '/status')).json.sequence, sequence);
    assert.equal(await page.locator('.do .what-if').count(), 0);
  }
});

test('a place that two units stand in is a choice by digit', async () => {
  await page.goto(`${server.url}/now`);
  await page.locator('.now-row').first().waitFor();
  await find('warm cabinet');
  await page.getByText('2 are meant.').waitFor();
  assert.match(await page.locator('.choices').innerText(), /gluing in the warm cabinet/);
  await bench.keys('2');
  await opened(7);
});

test('a word of a note finds its unit; the only one found is opened', async () => {
  await bench.keys('/');
  await page.waitForFunction(() => document.activeElement?.id === 'finder');
  await page.keyboard.type('blue box');
  await page.getByText('Screws in the blue box').first().waitFor();
  await page.keyboard.press('Enter');
  await opened(9);
});

test('a number opens its unit though others begin like it; a part of a serial is a choice', async () => {
  await find('1');
  await opened(1);
  await find('s-1');
  // S-1 itself is one of them.
  await opened(1);
  await find('-1');
  await page.getByText('4 are meant.').waitFor();
  await bench.keys('Enter');
  await opened(1);
});

test('what is not there is said; a lot is opened by its name', async () => {
  await find('nobody');
  await page.getByText('No unit and no lot found for “nobody”.').waitFor();
  await page.getByLabel('Unit or lot').fill('twenty');
  await page.keyboard.press('Enter');
  await page.waitForURL(`**/lots/${lot.id}`);
});

test('the pages complained of nothing', () => ada.assertQuiet());
