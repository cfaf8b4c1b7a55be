// What a person does on a profile's screen.
import assert from 'node:assert/strict';

export class ProfileScreen {
  constructor(page) {
    this.page = page;
  }

  async open(server, id) {
    await this.page.goto(`${server.url}/profiles/${id}`);
    await this.page.getByRole('navigation', { name: 'Parts of the profile' }).waitFor();
    await this.page.getByRole('heading', { name: 'Faults by how often they come' }).waitFor();
  }

  section(name) {
    return this.page.getByRole('navigation', { name: 'Parts of the profile' }).getByRole('button', { name, exact: true }).click();
  }

  async change(name) {
    await this.page.getByRole('button', { name: `Change: ${name}`, exact: true }).click();
  }

  at(pointer) {
    return this.page.locator(`[data-at="${pointer}"]`);
  }

  /** Everything that was typed is checked and in the text. */
  async checked() {
    await this.page.locator('.draft', { hasText: 'Checking' }).waitFor({ state: 'detached' });
  }

  async save(version) {
    await this.checked();
    await this.page.getByRole('button', { name: `Save as version ${version}` }).click();
    await this.page.locator('.heading', { hasText: `version ${version},` }).waitFor();
    await this.page.locator('.draft', { hasText: 'not saved' }).waitFor({ state: 'detached' });
  }

  /** The profile's text as the screen gives it out as a file. */
  async takenOut() {
    await this.section('Text');
    const [download] = await Promise.all([this.page.waitForEvent('download'), this.page.getByRole('button', { name: 'Take out as a file' }).click()]);
    const parts = [];
    for await (const part of await download.createReadStream()) parts.push(part);
    return Buffer.concat(parts).toString('utf8');
  }
}

/** Pointers of all values of a tree, as the server points at them. */
export function leaves(value, pointer = '') {
  if (Array.isArray(value)) return value.flatMap((item, index) => leaves(item, `${pointer}[${index}]`));
  if (value !== null && typeof value === 'object') {
    return Object.entries(value).flatMap(([key, item]) => leaves(item, pointer === '' ? key : `${pointer}.${key}`));
  }
  return [pointer];
}

/** Fails unless each leaf is in a field: one of its own, or one that holds a list of plain values. */
export function assertReached(leaf, fields) {
  const list = leaf.replace(/\[\d+\]$/, '');
  assert.ok(fields.has(leaf) || (list !== leaf && fields.has(list)), `no field for ${leaf}`);
}
