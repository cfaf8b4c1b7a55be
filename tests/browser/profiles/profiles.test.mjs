// A profile changed in the browser: a rate, a rule's sentence, a fault from the bench, saved, seen at the unit, out and in again.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import test from 'node:test';

import { get, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { Bench } from '../support/bench.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { ProfileScreen } from '../support/profile.mjs';

const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const kId = 'plover-h1';
const shipped = readFileSync(new URL('../../../profiles/plover-h1.toml', import.meta.url), 'utf8');

const browser = await launch();
test.after(() => browser.close());

/** A shop with the profile, one lot and one unit, number 14, and a person's window. */
async function begun(t) {
  const server = await start(temporaryFolder(t));
  const lot = make.lotBought({ lines: [{ id: 'a', profile: kId, model: 'Invented pad', declared: 1 }] });
  const unit = make.unitReceived(lot, 14);
  const stored = await postEntries(server, [make.profileSaved(shipped, kId), lot, unit]);
  assert.equal(stored.status, 200, stored.text);
  const person = await device(browser, { acceptDownloads: true });
  await named(person.context, 'Ada');
  const page = await person.window();
  t.after(async () => {
    await person.context.close();
    await server.stop();
  });
  return { server, unit, person, page, screen: new ProfileScreen(page) };
}

const profileOf = async (server) => (await get(server, `/profiles/${kId}`)).json;
const chanceOf = async (server, unit, fault) => (await get(server, `/units/${unit.id}`)).json.belief.faults.find(({ id }) => id === fault).probability;

test('a rate and a rule are changed in words, saved, and the unit is believed anew; the rest of the text stays byte for byte', async (t) => {
  const { server, unit, person, page, screen } = await begun(t);
  const before = await chanceOf(server, unit, 'port-pins');
  await screen.open(server, kId);
  await screen.section('Faults');
  await screen.change('Port pins bent or pushed up');
  await screen.at('fault[1].probability').fill('40');
  await screen.section('Checks');
  await screen.change('Look into the port');
  const rule = page.locator('button.rule', { hasText: 'Else, if “Port pins bent or pushed up” it shows' }).first();
  await rule.click();
  await screen.at('check[3].rules[1].gives.bent').fill('70');
  await page.locator('.draft', { hasText: 'These chances make 95 %, not 100 %.' }).waitFor();
  assert.equal(await page.getByRole('button', { name: 'Save as version 2' }).getAttribute('aria-disabled'), 'true');
  // The summary leads to the place, the place says what to do.
  await page.getByRole('list', { name: 'What is wrong' }).getByRole('button').first().click();
  await page.getByRole('button', { name: /^Give the rest to/ }).click();
  assert.equal(await screen.at('check[3].rules[1].gives.bent').inputValue(), '75');
  await screen.at('check[3].rules[1].gives.bent').fill('60');
  await screen.at('check[3].rules[1].gives.clear').fill('37');
  await screen.checked();
  assert.match(await rule.innerText(), /bent, missing or up \(60 %\), Clear and straight \(37 %\)/i);
  await screen.save(2);
  const wanted = shipped.replace('assembly = "port"\nprobability = 0.13', 'assembly = "port"\nprobability = 0.4')
    .replace('gives = { bent = 0.75, clear = 0.22, dirty = 0.03 }', 'gives = { bent = 0.6, clear = 0.37, dirty = 0.03 }');
  assert.equal((await profileOf(server)).toml, wanted);
  assert.ok(await chanceOf(server, unit, 'port-pins') > before + 0.15);
  // Out as a file and in again: the same bytes, and nothing to save.
  assert.equal(await screen.takenOut(), wanted);
  await page.getByLabel('Replace it by a file').setInputFiles({ name: 'p.toml', mimeType: 'application/toml', buffer: Buffer.from(shipped) });
  await screen.save(3);
  assert.equal((await profileOf(server)).toml, shipped);
  assert.ok(Math.abs(await chanceOf(server, unit, 'port-pins') - before) < 1e-9);
  person.assertQuiet();
});

test('a fault is added from the bench in few actions; the unit is believed and advised with it at once', async (t) => {
  const { server, unit, person, page } = await begun(t);
  const bench = new Bench(page);
  await page.goto(`${server.url}/units/14`);
  await bench.idle();
  let actions = 0;
  const act = async (what) => {
    actions += 1;
    await what();
  };
  await act(() => page.keyboard.press('x'));
  await page.getByLabel('What is wrong', { exact: true }).waitFor();
  assert.equal(await page.evaluate(() => document.activeElement?.tagName), 'INPUT', 'the name can be typed at once');
  await act(() => page.keyboard.type('Dock latch broken'));
  await act(() => page.getByLabel('In which assembly').selectOption({ label: 'Housing' }));
  await act(() => page.getByLabel('How often, from memory').selectOption({ index: 2 }));
  await act(() => page.getByRole('button', { name: 'Add it' }).click());
  await page.locator('.notice', { hasText: 'added to the profile' }).waitFor();
  // Text as one action: a key, a name, two choices, one press.
  assert.equal(actions, 5);
  await page.locator('.bar-name', { hasText: 'Dock latch broken' }).waitFor();
  const { json } = await get(server, `/units/${unit.id}`);
  assert.ok(json.belief.faults.find(({ id }) => id === 'dock-latch-broken').probability > 1 - 1e-9);
  assert.ok(json.advice.steps.length > 0);
  const profile = await profileOf(server);
  assert.equal(profile.version, 2);
  assert.ok(profile.toml.startsWith(shipped.slice(0, shipped.indexOf('# ----------------------------------------------------- checks: before power'))
    .trimEnd()), 'what stood before the new fault is as it was');
  assert.match(profile.toml, /# From memory, added at the bench by Ada, [\d-]+\.\n\[\[fault\]\]\nid = "dock-latch-broken"\nname = "Dock latch broken"\nassembly = "housing"\nprobability = 0\.12\nweight = 2\nnumbers_from = "memory"\n/);
  // A repair for it, and it is advised with where its numbers come from.
  await page.keyboard.press('x');
  await page.getByRole('button', { name: 'A repair' }).click();
  await page.getByLabel('What is done').fill('Glue the latch');
  await page.getByLabel('It mends').selectOption({ label: 'Dock latch broken' });
  await page.getByLabel('With the unit').selectOption({ label: 'Closed' });
  await page.getByRole('button', { name: 'Add it' }).click();
  await page.locator('.notice', { hasText: 'repair “Glue the latch” added' }).waitFor();
  await page.locator('.step-list, .do', { hasText: 'Glue the latch' }).first().waitFor();
  const step = (await get(server, `/units/${unit.id}`)).json.advice.steps.find(({ id }) => id === 'glue-the-latch');
  assert.equal(step.numbers.from, 'memory');
  assert.match(step.numbers.words, /from memory/);
  // And a check.
  await page.keyboard.press('x');
  await page.getByRole('button', { name: 'A check' }).click();
  await page.getByLabel('What is looked at or measured').fill('Rattle the latch');
  await page.getByLabel('It tells of').selectOption({ label: 'Dock latch broken' });
  await page.getByLabel('What it shows when all is well').fill('Silent');
  await page.getByLabel('and with the fault').fill('Rattles');
  await page.keyboard.press('Enter');
  await page.locator('.notice', { hasText: 'check “Rattle the latch” added' }).waitFor();
  assert.equal((await profileOf(server)).version, 4);
  person.assertQuiet();
});

test('what is changed and not saved survives a reload, and can be dropped', async (t) => {
  const { server, person, page, screen } = await begun(t);
  await screen.open(server, kId);
  await screen.section('Repairs');
  await screen.change('Fit a new port');
  const name = page.locator('[data-at$=".name"]').first();
  await name.fill('Fit a fresh port');
  await page.reload();
  await page.locator('.draft', { hasText: 'One change, not saved.' }).waitFor();
  await page.locator('.draft', { hasText: 'also from before' }).waitFor();
  await screen.section('Repairs');
  await page.getByRole('heading', { name: 'Fit a fresh port' }).waitFor();
  await page.getByRole('button', { name: 'What changed' }).click();
  assert.match(await page.getByRole('region', { name: 'What changed in the text' }).innerText(), /name = "Fit a new port"[\s\S]*name = "Fit a fresh port"/);
  await page.getByRole('button', { name: 'Drop all' }).click();
  await page.getByRole('heading', { name: 'Fit a new port' }).waitFor();
  assert.equal((await profileOf(server)).version, 1);
  person.assertQuiet();
});

test('a version that came meanwhile is told, and the changes are put onto it', async (t) => {
  const { server, person, page, screen } = await begun(t);
  await screen.open(server, kId);
  await screen.section('Faults');
  await screen.change('Stick drifts');
  await page.locator('[data-at$=".probability"]').first().fill('7');
  await screen.checked();
  const theirs = shipped.replace('name = "Fan stands or grinds"', 'name = "Fan stands"')
    .replace('[[fault]]\nid = "port-dirty"', '[[fault]]\nid = "first-of-all"\nname = "First"\nassembly = "port"\nprobability = 0.01\n\n[[fault]]\nid = "port-dirty"');
  assert.equal((await postEntries(server, [make.profileSaved(theirs, kId)])).status, 200);
  await page.locator('.newer', { hasText: 'It was changed meanwhile: version 2, saved by Ada' }).waitFor();
  // An older save that is sent all the same is refused by the journal.
  const late = make.entry('profile-saved', { kind: 'profile', id: kId }, { toml: shipped, based_on: '0'.repeat(64) });
  const refused = await postEntries(server, [late]);
  assert.equal(refused.status, 409);
  assert.match(refused.text, /the profile was changed meanwhile/);
  await page.getByRole('button', { name: 'Put my changes onto it' }).click();
  await page.locator('.newer').waitFor({ state: 'detached' });
  await screen.save(3);
  assert.equal((await profileOf(server)).toml, theirs.replace('name = "Stick drifts"\nassembly = "sticks"\nprobability = 0.05', 'name = "Stick drifts"\nassembly = "sticks"\nprobability = 0.07'));
  person.assertQuiet();
});

test('the road by keys alone: to a section, into a form, a number, and saved', async (t) => {
  const { server, person, page, screen } = await begun(t);
  await screen.open(server, kId);
  const focusBy = async (wanted) => {
    for (let presses = 0; presses < 400; ++presses) {
      await page.keyboard.press('Tab');
      const words = await page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '');
      const at = await page.evaluate(() => document.activeElement?.getAttribute('data-at') ?? '');
      if (words === wanted || at === wanted) return;
    }
    assert.fail(`Tab never came to ${wanted}`);
  };
  await focusBy('Test sheet and grades');
  await page.keyboard.press('Enter');
  await focusBy('Change: Charge to full');
  await page.keyboard.press('Enter');
  await focusBy('test[0].max');
  await page.keyboard.press('Control+a');
  await page.keyboard.type('0.09');
  await screen.checked();
  // WCAG 2.2, 2.4.11: what has the focus is not hidden behind the changes that stay at the top, upwards too.
  for (const key of [...Array(40).fill('Tab'), ...Array(60).fill('Shift+Tab')]) {
    await page.keyboard.press(key);
    const covered = await page.evaluate(() => {
      const at = document.activeElement;
      const { left, top, width, height } = at.getBoundingClientRect();
      const shown = document.elementFromPoint(left + width / 2, top + Math.min(height / 2, 20));
      return shown === null || at === shown || at.contains(shown) || shown.contains(at) ? null : at.outerHTML.slice(0, 120);
    });
    assert.equal(covered, null, `covered after ${key}`);
  }
  await page.evaluate(() => document.activeElement?.blur());
  await focusBy('Save as version 2');
  await page.keyboard.press('Enter');
  await page.locator('.heading', { hasText: 'version 2,' }).waitFor();
  assert.match((await profileOf(server)).toml, /max = 0\.09/);
  person.assertQuiet();
});

test('axe finds nothing in any part, with a form open, with something wrong, by day and by night', async (t) => {
  const { server, person, page, screen } = await begun(t);
  await screen.open(server, kId);
  const assertNoFindings = async (what) => {
    await page.evaluate(axe);
    for (const colorScheme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
      const found = await page.evaluate((values) => globalThis.axe.run(document, { runOnly: { type: 'tag', values } })
        .then(({ violations }) => violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`)), kRules);
      assert.deepEqual(found, [], `${what}, ${colorScheme}`);
    }
  };
  for (const section of ['Faults', 'Checks', 'Repairs', 'Assemblies and opening', 'Test sheet and grades', 'Device and money', 'Text']) {
    await screen.section(section);
    const change = page.getByRole('button', { name: /^Change:/ });
    if (await change.count() > 0) await change.nth(4).click();
    const rule = page.locator('button.rule');
    if (await rule.count() > 0) await rule.first().click();
    await assertNoFindings(section);
  }
  await screen.section('Faults');
  await screen.change('Stick drifts');
  await page.locator('[data-at$=".probability"]').first().fill('700');
  await page.locator('.draft', { hasText: 'One thing is wrong' }).waitFor();
  await page.getByRole('button', { name: 'What changed' }).click();
  await assertNoFindings('something wrong');
  person.assertQuiet();
});

test('a new profile is begun without its text', async (t) => {
  const { server, person, page, screen } = await begun(t);
  await page.goto(`${server.url}/profiles`);
  await page.getByRole('button', { name: 'Begin a profile' }).click();
  await page.getByLabel('Model').fill('Small Radio');
  await page.getByLabel('Proved, it sells at').fill('30');
  await page.getByLabel('As it is, it sells at').fill('6');
  await page.getByRole('button', { name: 'Begin it' }).click();
  await page.waitForURL('**/profiles/small-radio');
  await screen.section('Assemblies and opening');
  await page.getByRole('button', { name: 'Add an assembly' }).click();
  await page.locator('[data-at="assembly[0].name"]').fill('Speaker');
  await screen.section('Faults');
  await page.getByRole('button', { name: 'Add a fault' }).click();
  await page.locator('[data-at="fault[0].name"]').fill('Speaker torn');
  await screen.save(2);
  assert.match((await get(server, '/profiles/small-radio')).json.toml, /\[\[fault\]\]\nid = "new-fault"\nname = "Speaker torn"\nassembly = "new-assembly"\nprobability = 0\.02\n/);
  person.assertQuiet();
});
