// What a person does while receiving: keys and a scanner, each counted as one action.
import { setTimeout as sleep } from 'node:timers/promises';

// Longer than a scanner takes between two keys (ui/src/lib/keys.ts: 35 ms).
const kHumanMs = 80;

export class Receiver {
  actions = 0;

  constructor(page) {
    this.page = page;
  }

  async press(...keys) {
    for (const key of keys) {
      this.actions += 1;
      await this.page.keyboard.press(key);
      await sleep(kHumanMs);
    }
  }

  /** A scanner types faster than the test's own connection to the browser can, so its keys are made in the page. */
  async scan(text) {
    this.actions += 1;
    await this.page.evaluate((keys) => {
      for (const key of keys) document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    }, [...text, 'Enter']);
  }

  /** Text into the field that has the focus. */
  async type(text) {
    this.actions += 1;
    await this.page.keyboard.type(text);
  }

  /** The number on the large strip of tape. */
  async here() {
    return Number(await this.page.locator('.receive .tape.large .number').innerText());
  }

  async at(number) {
    await this.page.locator('.receive .tape.large .number', { hasText: new RegExp(`^${number}$`) }).waitFor();
  }
}
