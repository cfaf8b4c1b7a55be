// A lot of 500 units and a shop of 2,000: the screens draw what fits a screen, follow an entry at once and stay quick.
import assert from 'node:assert/strict';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { bigShop } from '../support/shop.mjs';

// Drawn at once; the rest comes when it is scrolled to.
const kMostDrawn = 100;
// Of the page's own scripts, from a reading to the drawn screen. Generous, as other tests run beside this one.
const kScriptMs = 1000;
// An entry shows in a window within a second; twice that on a machine that runs other tests.
const kFollowsMs = 2000;

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const { lot, units } = await bigShop(server, 500);
const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const debug = await ada.context.newCDPSession(page);
await debug.send('Performance.enable');

async function scriptMs() {
  const { metrics } = await debug.send('Performance.getMetrics');
  return metrics.find(({ name }) => name === 'ScriptDuration').value * 1000;
}

/** Sends an entry and gives the milliseconds until the page shows `words` in the first element of `where`. */
async function follows(where, words, entry) {
  const shown = page.evaluate(([selector, wanted]) => new Promise((done) => {
    const look = () => document.querySelector(selector)?.textContent.includes(wanted) && done(Date.now());
    new MutationObserver(look).observe(document.body, { childList: true, subtree: true, characterData: true });
    look();
  }), [where, words]);
  const sent = Date.now();
  assert.equal((await postEntries(server, [entry])).status, 200);
  return await shown - sent;
}

test('the lot of 500 units draws a part of its trays and finds the others', async (context) => {
  await page.goto(`${server.url}/lots/${lot.id}`);
  await page.getByRole('heading', { name: '500 units' }).waitFor();
  context.diagnostic(`scripts took ${Math.round(await scriptMs())} ms until it stood`);
  assert.ok(await scriptMs() < kScriptMs);
  assert.ok(await page.locator('.tray').count() <= kMostDrawn);
  await page.getByLabel('Number or serial').fill('417');
  await page.locator('.tray').first().waitFor();
  assert.equal(await page.locator('.tray').count(), 1);
  await page.getByLabel('Number or serial').fill('');
  await page.getByRole('button', { name: /^Show all/ }).click();
  await page.waitForFunction(() => document.querySelectorAll('.tray').length === 500);
});

test('an entry shows in the drawn lot at once, without drawing the others anew', async (context) => {
  const before = await scriptMs();
  const ms = await follows('.trays > li:nth-child(5)', 'put aside: too hard', make.about(units[4], 'put-aside', { reason: 'too hard' }));
  context.diagnostic(`shown after ${ms} ms, ${Math.round(await scriptMs() - before)} ms of scripts with all 500 trays drawn`);
  assert.ok(ms < kFollowsMs, `${ms} ms`);
  assert.ok(await scriptMs() - before < kScriptMs);
});

test('Now of 2,000 units says the same only once', async (context) => {
  const lots = make.lotBought({ name: 'The others' });
  const others = Array.from({ length: 1500 }, (_, index) => make.unitReceived(lots, 501 + index));
  for (const part of [[lots, ...others.slice(0, 900)], others.slice(900)]) assert.equal((await postEntries(server, part)).status, 200);
  const before = await scriptMs();
  await page.goto(`${server.url}/now`);
  await page.locator('.same').first().waitFor();
  await page.locator('.progress').waitFor({ state: 'detached' });
  context.diagnostic(`${Math.round(await scriptMs() - before)} ms of scripts for Now of 2,000 units`);
  const { json } = await get(server, '/now');
  assert.equal(json.ranked, 1999);
  assert.equal(await page.locator('.now-row').count(), json.all_rows);
  assert.ok(json.all_rows < 10, `${json.all_rows} rows`);
});

test('Now follows an entry at once', async (context) => {
  const { json } = await get(server, '/now?rows=1');
  const first = json.rows[0];
  const ms = await follows('.waits', 'glue curing',
    make.about({ id: first.unit }, 'wait-started', { what: 'glue curing', due: '2099-01-01T08:00:00.000Z' }));
  context.diagnostic(`shown after ${ms} ms`);
  assert.ok(ms < kFollowsMs, `${ms} ms`);
});

test('the page complained of nothing', () => ada.assertQuiet());
