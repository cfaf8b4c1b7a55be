// Every screen at two sizes, by day and by night: pictures for people to look at, no sideways scrolling on a phone, and
// no violation of WCAG 2.2 AA that axe-core can find. The shop is the demo; where that is empty a small lot is bought.
import assert from 'node:assert/strict';
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import test from 'node:test';

import { ask, get, postEntries, settledNow } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';

const kSizes = { wide: { width: 1280, height: 800 }, phone: { width: 390, height: 844 } };
const kSchemes = ['light', 'dark'];
const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const kLeastRules = 10;
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const log = readFileSync(new URL('../../../examples/meter-logs/healthy.csv', import.meta.url));

const folder = process.env.LOTWRIGHT_ARTIFACTS ?? join(process.env.LOTWRIGHT_BINARY_DIR ?? 'build', 'artifacts', 'screens');
mkdirSync(folder, { recursive: true });

const server = await start(temporaryFolder({ after: (work) => test.after(work) }), ['--demo']);
test.after(() => server.stop());
const browser = await launch();
test.after(() => browser.close());

/** The demo's open units, best first; in a shop without lots three units are received first. */
async function openUnits() {
  const { json: { profiles: [profile] } } = await get(server, '/profiles');
  if ((await get(server, '/lots')).json.lots.length === 0) {
    const lot = make.lotBought({ name: 'Three to begin with', lines: [{ id: 'a', profile: profile.id, model: profile.name, declared: 3 }] });
    const received = await postEntries(server, [lot, ...[1, 2, 3].map((number) => make.unitReceived(lot, number))]);
    assert.equal(received.status, 200, received.text);
  }
  return { profile: profile.id, rows: (await settledNow(server)).rows };
}

/** An open unit with a meter log; one gets a log where none has. */
async function withLog(candidates) {
  for (const row of candidates) {
    if ((await get(server, `/units/${row.number}`)).json.logs.length > 0) return row;
  }
  const [row] = candidates;
  const { json } = await ask(server, 'POST', '/api/v1/attachments', { body: log });
  const attached = make.about({ id: row.unit }, 'meter-log-attached', { attachment: json.attachment, name: 'healthy.csv' });
  assert.equal((await postEntries(server, [attached])).status, 200);
  return row;
}

const { profile, rows } = await openUnits();
const [unit, ...others] = rows;
const logged = await withLog(others);
const { json: { lots: [lot, ...more] } } = await get(server, '/lots');
const unnumbered = more[0] ?? lot;
const benchIdle = (page) => new Bench(page).idle();

// A screen: its name, its path, what shows that it is there.
const screens = [
  ['now', '/now', (page) => page.locator('.now-row.first').waitFor()],
  ['lots', '/lots', (page) => page.locator('.lot-row').first().waitFor()],
  ['lot', `/lots/${lot.id}`, (page) => page.locator('.tray').first().waitFor()],
  ['bench', `/units/${unit.number}`, benchIdle],
  ['bench-log', `/units/${logged.number}`, async (page) => {
    await benchIdle(page);
    await page.locator('.plot canvas').waitFor();
    await page.locator('.plot').scrollIntoViewIfNeeded();
  }],
  ['test-sheet', `/units/${unit.number}`, async (page) => {
    await benchIdle(page);
    await page.keyboard.press('t');
    await page.locator('.test-list').waitFor();
  }],
  ['receive', `/lots/${unnumbered.id}`, async (page) => {
    await page.locator('.tray').first().waitFor();
    await page.keyboard.press('r');
    await page.getByLabel('How many').waitFor();
  }],
  ['go-through', `/lots/${unnumbered.id}`, async (page) => {
    await page.getByRole('button', { name: /without a serial/ }).click();
    await page.locator('.receive').waitFor();
  }],
  ['money', '/money', (page) => page.getByRole('heading', { name: 'Money' }).first().waitFor()],
  ['profiles', '/profiles', (page) => page.locator('.lot-name').first().waitFor()],
  ['profile', `/profiles/${profile}`, (page) => page.getByRole('heading', { name: 'Faults by how often they come' }).waitFor()],
  ['profile-form', `/profiles/${profile}`, async (page) => {
    await page.getByRole('button', { name: 'Checks', exact: true }).click();
    await page.getByRole('button', { name: /^Change/ }).first().click();
    await page.locator('button.rule').first().click();
    // Something wrong, so that the summary and the words at the field are looked at too.
    await page.locator('.row-chances input').first().fill('1');
    await page.getByText('not 100 %').first().waitFor();
  }],
  ['not-in-the-profile', `/units/${unit.number}`, async (page) => {
    await benchIdle(page);
    await page.keyboard.press('x');
    await page.getByLabel('In which assembly').waitFor();
  }],
];

/** What axe-core finds, each with where it stands; `passed` rules show that it looked. */
async function findings(page) {
  // Sent to the page as a script of the debugger, as the page's own policy forbids foreign scripts.
  await page.evaluate(axe);
  return page.evaluate((values) => globalThis.axe.run(document, { runOnly: { type: 'tag', values } })
    .then(({ violations, passes }) => ({
      passed: passes.length,
      violations: violations.map(({ id, help, nodes }) =>
        `${id}: ${help}: ${nodes.map(({ target, html }) => `${target.join(' ')} ${html.slice(0, 160)}`).join(' | ')}`),
    })), kRules);
}

for (const [size, viewport] of Object.entries(kSizes)) {
  const person = await device(browser, { viewport });
  await named(person.context, 'Ada');
  const page = await person.window();
  for (const [name, path, ready] of screens) {
    test(`${name}, ${size}`, async () => {
      await page.emulateMedia({ colorScheme: 'light' });
      await page.goto(server.url + path);
      await ready(page);
      await page.evaluate(() => document.fonts.ready.then(() => true));
      for (const colorScheme of kSchemes) {
        await page.emulateMedia({ colorScheme });
        await page.screenshot({ path: join(folder, `${name}-${size}-${colorScheme}.png`) });
      }
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.equal(wide, 0, `${path} scrolls sideways by ${wide} px`);
      if (size !== 'wide') return;
      await page.emulateMedia({ colorScheme: 'light' });
      const { violations, passed } = await findings(page);
      assert.deepEqual(violations, []);
      assert.ok(passed >= kLeastRules, `axe-core looked at ${passed} rules`);
    });
  }
  test(`the pages complained of nothing, ${size}`, () => person.assertQuiet());
}
