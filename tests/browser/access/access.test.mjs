// Access for all: axe in both themes on every state of bench and shell, the order that a screen reader hears, the keyboard alone.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import test from 'node:test';

import { get } from '../../api/support/client.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { demo } from '../support/demo.mjs';

const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const server = await start(temporaryFolder({ after: (work) => test.after(work) }), ['--demo']);
test.after(() => server.stop());
const browser = await launch();
test.after(() => browser.close());
const ada = await device(browser);
await named(ada.context, 'Ada');
const page = await ada.window();
const bench = new Bench(page);
const view = async (number) => (await get(server, `/units/${number}`)).json;
const { screens, checked } = await demo(server);
const most = checked[0].unit.number;

/** `part`: only what these selectors find, for what opens on a screen that was looked at whole. */
async function assertNoFindings(what, part = 'body', window = page) {
  assert.ok(await window.locator(part).count() > 0, `${what}: there is no ${part}`);
  await window.evaluate(axe);
  for (const colorScheme of ['light', 'dark']) {
    await window.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    const violations = await window.evaluate(([values, within]) => globalThis.axe.run(within, { runOnly: { type: 'tag', values } })
      .then((found) => found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`)), [kRules, part]);
    assert.deepEqual(violations, [], `${what}, ${colorScheme}`);
  }
  await window.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
}

for (const [name, path] of screens) {
  test(`${name}: axe finds nothing, by day and by night`, async () => {
    await page.goto(server.url + path);
    await page.locator('main h1').first().waitFor();
    await assertNoFindings(name);
  });
}

test('what opens on the bench and in the shell: axe finds nothing', async () => {
  await page.goto(`${server.url}/units/${most}`);
  await bench.idle();
  await bench.keys('i', '1');
  await page.locator('.supposed-next').waitFor();
  await assertNoFindings('a what-if', 'section.do, .is-supposed');
  await bench.keys('Escape', '?');
  await page.getByRole('region', { name: 'Keys' }).waitFor();
  await assertNoFindings('the keys', '.strip, .top');
  await bench.keys('Escape', '/');
  await page.getByLabel('Unit or lot').fill('1');
  await page.locator('search .tape').first().waitFor();
  await assertNoFindings('the finder', 'search');
  await page.getByLabel('Unit or lot').fill('PH1');
  await page.keyboard.press('Enter');
  await page.locator('.choices').waitFor();
  await assertNoFindings('a choice of the finder', 'search');
  await bench.keys('Escape');
  await page.getByRole('button', { name: 'Ada' }).click();
  await assertNoFindings('the settings', '.strip, .top');
  await page.getByRole('button', { name: 'Done', exact: true }).first().click();
  for (const form of ['Sold', 'Note', 'Put aside', 'Part out', 'Full test', 'Grade']) {
    await page.locator('.band').first().waitFor();
    const button = page.getByLabel('Record', { exact: true }).getByRole('button', { name: form, exact: true });
    if (await button.count() === 0) continue;
    await button.click();
    await assertNoFindings(form, '.band form, .test-item');
    await button.click();
  }
});

test('who has not said a name yet is asked over the lower edge, which axe finds nothing in', async () => {
  const eve = await device(browser);
  const window = await eve.window();
  await window.goto(`${server.url}/units/${most}`);
  const eyes = new Bench(window);
  await eyes.idle();
  await eyes.keys('1');
  await window.getByRole('form', { name: 'Who is at this bench?' }).waitFor();
  await window.getByText('Not recorded yet: say who you are, below.').waitFor();
  assert.equal(await window.getByText('Working out what is next').count(), 0);
  await assertNoFindings('the name', '.name-strip, .do-top', window);
  // Leaving it records nothing, and the step is there again.
  const { sequence } = (await get(server, '/status')).json;
  await window.keyboard.press('Escape');
  await eyes.idle();
  assert.equal((await get(server, '/status')).json.sequence, sequence);
  await eve.context.close();
});

test('a screen reader hears the unit, then the next step, then its outcomes with what they may be', async () => {
  await page.goto(`${server.url}/units/${most}`);
  await bench.idle();
  const { advice, checks, unit } = await view(most);
  const check = checks.find(({ id }) => id === advice.next.id);
  const heard = await page.locator('main').ariaSnapshot();
  const places = [`heading "Unit ${unit.number}`, 'region "What to do"', `heading "${check.name}"`,
    ...check.outcomes.map(({ name }) => `button "${name}`), 'button "Can’t tell"', 'region "Record"', 'region "Or another step"',
    'region "What is wrong with it"', 'region "How far it is open"', 'region "What happened"', 'complementary "Ways to stop'];
  const found = places.map((place) => heard.indexOf(place));
  assert.deepEqual(found.filter((at) => at < 0), [], `not heard: ${places.filter((_, at) => found[at] < 0)}\n${heard.slice(0, 3000)}`);
  assert.deepEqual([...found].sort((a, b) => a - b), found, 'in another order');
  // What is recorded and what comes next is told without a move of the focus.
  assert.ok(await page.locator('[aria-live="polite"] .do-name').count() === 1);
});

test('by keyboard alone: Tab reaches every outcome, in order, and the focus is seen', async () => {
  await page.goto(`${server.url}/units/${most}`);
  await bench.idle();
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.activeElement.className), 'skip');
  await page.keyboard.press('Enter');
  const reached = [];
  for (let tabs = 0; tabs < 40; ++tabs) {
    await page.keyboard.press('Tab');
    const { words, what, seen, covered } = await page.evaluate(() => {
      const { activeElement: at } = document;
      const { outlineStyle, outlineWidth } = getComputedStyle(at);
      const { left, top, width, height } = at.getBoundingClientRect();
      const shown = document.elementFromPoint(left + width / 2, top + Math.min(height / 2, 20));
      return { what: `${at.className} ${at.textContent.slice(0, 60)}`, words: at.querySelector('.what')?.textContent ?? '', seen: outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2,
        covered: !(at === shown || at.contains(shown) || shown?.contains(at)) };
    });
    assert.ok(seen, `no focus to be seen at ${words}`);
    // WCAG 2.2, 2.4.11: what has the focus is not hidden by what lies over the screen.
    assert.ok(!covered, `covered: ${what}`);
    if (words !== '') reached.push(words);
  }
  const { advice, checks } = await view(most);
  assert.deepEqual(reached.slice(0, 2), checks.find(({ id }) => id === advice.next.id).outcomes.slice(0, 2).map(({ name }) => name));
});

test('the pages complained of nothing', () => ada.assertQuiet());
