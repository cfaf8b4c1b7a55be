// Every value of the shipped profiles, and of the example that has every key, stands in a field of the forms.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import test from 'node:test';

import { get, post, postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { start, temporaryFolder } from '../../api/support/server.mjs';
import { device, launch, named } from '../support/browser.mjs';
import { ProfileScreen, assertReached, leaves } from '../support/profile.mjs';

const root = new URL('../../../', import.meta.url);
const profiles = [...readdirSync(new URL('profiles', root)).map((name) => `profiles/${name}`), 'examples/profiles/every-key.toml'];
const kSections = { Faults: ['fault', 'history'], Checks: ['check'], Repairs: ['repair'], 'Assemblies and opening': ['assembly', 'access'], 'Test sheet and grades': ['test', 'grade'] };
/** What the forms do not ask for: which format this is. */
const kNotAsked = new Set(['format']);

/** In the page: what every field on the screen is the field of. */
const fieldsShown = () => [...document.querySelectorAll('[data-at]')].map((each) => each.dataset.at);

/** In the page: opens every item of a list, and in it every sentence that opens into its fields; all fields seen. */
const fieldsOfList = async (list) => {
  const seen = new Set();
  const drawn = () => new Promise((done) => setTimeout(() => requestAnimationFrame(() => done()), 0));
  const look = () => document.querySelectorAll('[data-at]').forEach((each) => seen.add(each.dataset.at));
  for (let index = 0; document.getElementById(`at-${list}[${index}]`) !== null; ++index) {
    const item = document.getElementById(`at-${list}[${index}]`);
    item.querySelector('.item-head button').click();
    await drawn();
    look();
    for (let at = 0; at < item.querySelectorAll('button.rule').length; ++at) {
      item.querySelectorAll('button.rule')[at].click();
      await drawn();
      look();
    }
  }
  return [...seen];
};

const server = await start(temporaryFolder({ after: (work) => test.after(work) }));
test.after(() => server.stop());
const browser = await launch();
test.after(() => browser.close());

for (const path of profiles) {
  test(`every value of ${path} is in a field`, async () => {
    const toml = readFileSync(new URL(path, root), 'utf8');
    const { json: { tree } } = await post(server, '/profiles/edit', { toml });
    const saved = await postEntries(server, [make.profileSaved(toml, tree.device.id)]);
    assert.equal(saved.status, 200, saved.text);
    const person = await device(browser);
    await named(person.context, 'Ada');
    const page = await person.window();
    const screen = new ProfileScreen(page);
    await screen.open(server, tree.device.id);
    await screen.section('Device and money');
    await page.getByRole('heading', { name: 'Meter log' }).waitFor();
    const fields = new Set(await page.evaluate(fieldsShown));
    for (const [section, lists] of Object.entries(kSections)) {
      await screen.section(section);
      for (const list of lists) for (const at of await page.evaluate(fieldsOfList, list)) fields.add(at);
    }
    const all = leaves(tree).filter((leaf) => !kNotAsked.has(leaf));
    assert.ok(all.length > 40, `${all.length} values`);
    for (const leaf of all) assertReached(leaf, fields);
    // Looking changes nothing: what comes out is what went in.
    assert.equal(await screen.takenOut(), toml);
    assert.equal((await get(server, `/profiles/${tree.device.id}`)).json.version, 1);
    person.assertQuiet();
  });
}
