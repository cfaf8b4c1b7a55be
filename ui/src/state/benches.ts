/** Which unit each bench has open: told by bench screens, read by the camera page. */
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

import { type Benches, get, paths, putBenchUnit } from '../api';
import type { UnitRef } from '../lib/photos';
import { settings } from './settings';

const kTellAgainMs = 60_000;
const kAskAgainMs = 3000;
/** What was heard longer ago is not known any more. */
export const kFreshMs = 15_000;

/** While the component is shown this bench has the unit open. */
export function useBenchOpen(unit: string): void {
  const { bench } = settings.value;
  useEffect(() => {
    if (bench.trim() === '') return;
    // Told again by itself; a server that is away for a moment costs nothing but the pairing.
    const tell = (is: 'opened' | 'still-open' | 'closed') => void putBenchUnit(bench, unit, is).catch(() => undefined);
    const seen = () => document.visibilityState === 'visible';
    const looked = () => seen() && tell('opened');
    const left = () => tell('closed');
    looked();
    const timer = setInterval(() => seen() && tell('still-open'), kTellAgainMs);
    document.addEventListener('visibilitychange', looked);
    addEventListener('focus', looked);
    addEventListener('pagehide', left);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', looked);
      removeEventListener('focus', looked);
      removeEventListener('pagehide', left);
      left();
    };
  }, [bench, unit]);
}

/** Of the last answer; `at`: when it came, in milliseconds. */
export const heard = signal<{ at: number; benches: Benches['benches'] } | null>(null);

/** While the component is shown the benches are asked for again and again. */
export function useBenches(): void {
  useEffect(() => {
    const ask = () => {
      if (document.visibilityState !== 'visible') return;
      get<Benches>(paths.benches).then(
        ({ benches }) => (heard.value = { at: Date.now(), benches }),
        // Read anew even when nothing came, so that what is shown grows stale on the screen too.
        () => (heard.value = heard.value === null ? null : { ...heard.value }),
      );
    };
    ask();
    const timer = setInterval(ask, kAskAgainMs);
    document.addEventListener('visibilitychange', ask);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', ask);
    };
  }, []);
}

/** The unit that the bench has open, as far as it is known for sure at the time `now`. */
export function openAt(bench: string, now: number): UnitRef | null {
  const last = heard.value;
  if (last === null || now - last.at > kFreshMs) return null;
  return last.benches.find((one) => one.bench === bench)?.unit ?? null;
}
