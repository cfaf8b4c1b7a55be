import { signal } from '@preact/signals';

import { settings } from './settings';

export interface Notice {
  tone: 'plain' | 'good' | 'bad';
  text: string;
  offer?: { label: string; go: () => void };
}

/** The one line that says what just happened; a refusal stays until it is put away. */
export const notice = signal<Notice | null>(null);
const kShownMs = 8000;
let timer: ReturnType<typeof setTimeout> | undefined;

export function say(next: Notice): void {
  clearTimeout(timer);
  notice.value = next;
  if (next.tone !== 'bad') timer = setTimeout(() => (notice.value = null), kShownMs);
  speak(next.text);
}

export function putAway(): void {
  clearTimeout(timer);
  notice.value = null;
}

/** Reads a text aloud where the person switched that on. `after`: when what is being said is over, else at once. */
export function speak(text: string, after?: 'after'): void {
  if (!settings.value.speak || !('speechSynthesis' in window)) return;
  if (after === undefined) speechSynthesis.cancel();
  speechSynthesis.speak(new SpeechSynthesisUtterance(text));
}
