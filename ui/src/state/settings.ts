import { effect, signal } from '@preact/signals';

import type { Bindings } from '../lib/bindings';

/** What this browser keeps of its person and bench; nothing of it is in the journal but who and bench. */
export interface Settings {
  who: string;
  bench: string;
  /** owner: sees money; hand: sees minutes and rank only. */
  role: 'owner' | 'hand';
  theme: 'system' | 'light' | 'dark';
  speak: boolean;
  trained: boolean;
  /** Keys of a foot pedal and the like (lib/bindings.ts). */
  keys: Bindings;
}

const kKey = 'lotwright.settings';
const kDefaults: Settings = { who: '', bench: 'bench-1', role: 'owner', theme: 'system', speak: false, trained: false, keys: {} };

function stored(): Settings {
  try {
    return { ...kDefaults, ...(JSON.parse(localStorage.getItem(kKey) ?? '{}') as Partial<Settings>) };
  } catch {
    return kDefaults;
  }
}

export const settings = signal<Settings>(stored());

export function change(part: Partial<Settings>): void {
  settings.value = { ...settings.value, ...part };
}

export function showsMoney(): boolean {
  return settings.value.role === 'owner';
}

effect(() => {
  try {
    localStorage.setItem(kKey, JSON.stringify(settings.value));
  } catch {
    // A browser that keeps nothing still works until the window is closed.
  }
  document.documentElement.dataset.theme = settings.value.theme;
});

addEventListener('storage', (event) => {
  if (event.key === kKey) settings.value = stored();
});

/** Cautions are shown in full once a day to each person; which were read today is kept here. */
const kReadKey = 'lotwright.cautions-read';

function today(): string {
  return new Date().toISOString().slice(0, 10);
}

function readToday(): Record<string, string> {
  try {
    return JSON.parse(localStorage.getItem(kReadKey) ?? '{}') as Record<string, string>;
  } catch {
    return {};
  }
}

export function cautionWasRead(text: string): boolean {
  return readToday()[`${settings.value.who}|${text}`] === today();
}

export function markCautionsRead(texts: readonly string[]): void {
  const kept = Object.entries(readToday()).filter(([, day]) => day === today());
  const read = Object.fromEntries([...kept, ...texts.map((text) => [`${settings.value.who}|${text}`, today()] as const)]);
  try {
    localStorage.setItem(kReadKey, JSON.stringify(read));
  } catch {
    // Shown in full again, which does no harm.
  }
}
