// A plain numeric keypad with NumLock on, and nothing else. Playwright's own keys know it with NumLock off only, so the presses go
// through the debugger.
import { setTimeout as sleep } from 'node:timers/promises';

const kHumanMs = 90;
// Windows virtual-key codes of the keypad (learn.microsoft.com, "Virtual-Key Codes").
const kSigns = { '*': ['NumpadMultiply', 106], '+': ['NumpadAdd', 107], '-': ['NumpadSubtract', 109], '.': ['NumpadDecimal', 110], '/': ['NumpadDivide', 111] };

function keyOf(sign) {
  if (sign === '⏎') return { key: 'Enter', code: 'NumpadEnter', windowsVirtualKeyCode: 13, text: '\r' };
  if (/^\d$/.test(sign)) return { key: sign, code: `Numpad${sign}`, windowsVirtualKeyCode: 96 + Number(sign), text: sign };
  const [code, windowsVirtualKeyCode] = kSigns[sign];
  return { key: sign, code, windowsVirtualKeyCode, text: sign };
}

/** {press('14⏎'), count}: `count` is how many keys were pressed so far. */
export async function keypad(page) {
  const session = await page.context().newCDPSession(page);
  const pad = {
    count: 0,
    async press(signs) {
      for (const sign of signs) {
        const key = { ...keyOf(sign), location: 3, isKeypad: true };
        await session.send('Input.dispatchKeyEvent', { type: 'keyDown', ...key });
        await session.send('Input.dispatchKeyEvent', { type: 'keyUp', ...key });
        pad.count += 1;
        await sleep(kHumanMs);
      }
    },
  };
  return pad;
}
