// What a person does at the bench screen, by keys and clicks.
import { setTimeout as sleep } from 'node:timers/promises';

// Longer than a scanner takes between two keys (docs of the key leader: 35 ms), shorter than a digit is held.
const kHumanMs = 80;

export class Bench {
  constructor(page) {
    this.page = page;
  }

  /** Nothing is on its way: the next press means what the screen shows. */
  async idle() {
    await this.page.locator('article.bench[aria-busy="false"]').waitFor();
  }

  /** Types a unit's number and Enter, from any screen. */
  async open(number) {
    await this.page.evaluate(() => document.activeElement?.blur());
    await this.page.keyboard.type(String(number));
    await this.page.keyboard.press('Enter');
    await this.page.waitForURL(`**/units/${number}`);
    await this.idle();
  }

  async keys(...keys) {
    for (const key of keys) {
      await this.page.keyboard.press(key);
      await sleep(kHumanMs);
    }
  }

  /** Does something, then waits until the line at the bottom says what was recorded; gives the line. */
  async recorded(words, act) {
    const line = this.page.locator('.notice', { hasText: words });
    await this.page.evaluate(() => document.querySelector('.notice button[aria-label="Close this line"]')?.click());
    await this.page.locator('.notice').waitFor({ state: 'detached' });
    await act();
    await line.waitFor();
    await this.idle();
    return line.innerText();
  }

  step() {
    return this.page.locator('.do-name').innerText();
  }

  /** The words of the newest line of the diary, without what was advised instead. */
  async newest() {
    const words = await this.page.locator('.diary .line-words').first().innerText();
    return words.split('\n')[0];
  }

  diary() {
    return this.page.locator('.diary .line-words').allInnerTexts();
  }

  /** The unit's state as its shape shows it: "on-bench", "sold" … */
  state() {
    return this.page.locator('.bench-head .state [data-shape]').getAttribute('data-shape');
  }

  /** Opens a form of the panel "Record". */
  async form(name) {
    await this.page.getByLabel('Record', { exact: true }).getByRole('button', { name, exact: true }).click();
  }

  /** Fills the open form by its labels and submits it with its main button. */
  async submit(values, words) {
    const form = this.page.locator('.band form.stack').first();
    for (const [label, value] of Object.entries(values)) {
      const field = form.getByLabel(label);
      if (await field.evaluate((element) => element.tagName === 'SELECT')) await field.selectOption(value);
      else await field.fill(value);
    }
    return this.recorded(words, () => form.locator('button.main').click());
  }

  /** Chooses a step by typing a part of its name into the filter. */
  async choose(name) {
    await this.keys('f');
    await this.page.keyboard.type(name);
    await this.page.keyboard.press('Enter');
    await this.page.locator('.do-name', { hasText: name }).waitFor();
  }
}

/** From now on the page notes when a digit was pressed and when "Recorded" stood on the screen. */
export async function watchRecording(page) {
  await page.evaluate(() => {
    window.recording = { pressed: 0, shown: 0 };
    addEventListener('keydown', (event) => {
      if (/^\d$/.test(event.key)) window.recording = { pressed: performance.now(), shown: 0 };
    }, { capture: true });
    new MutationObserver(() => {
      const says = document.querySelector('.notice')?.textContent.startsWith('Recorded');
      // Seen by a person with the next frame.
      if (says && window.recording.shown === 0) requestAnimationFrame(() => { window.recording.shown ||= performance.now(); });
    }).observe(document.body, { childList: true, subtree: true, characterData: true });
  });
}

export async function recordingMs(page) {
  await page.waitForFunction(() => window.recording.shown > 0);
  return page.evaluate(() => window.recording.shown - window.recording.pressed);
}

/** Begins to wait for words in a page's diary; gives a promise of the time at which they stood there. */
export async function watchDiary(page, words) {
  await page.evaluate((wanted) => {
    window.diaryShown = new Promise((shown) => {
      const look = () => document.querySelector('.diary')?.textContent.includes(wanted) && shown(Date.now());
      new MutationObserver(look).observe(document.body, { childList: true, subtree: true, characterData: true });
    });
  }, words);
  return { shown: () => page.evaluate(() => window.diaryShown) };
}
