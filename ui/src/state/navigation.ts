import { computed, signal } from '@preact/signals';

import { parseRoute, pathOf } from '../lib/route';

const path = signal(location.pathname);
export const route = computed(() => parseRoute(path.value));

/** At which step the next bench screen opens (lib/bench.ts, openedAt): '' the advised one. Taken once. */
let wantedStep = '';

export function go(to: string): void {
  wantedStep = '';
  if (to !== location.pathname) history.pushState(null, '', to);
  path.value = location.pathname;
  scrollTo(0, 0);
}

export function takeWantedStep(): string {
  const step = wantedStep;
  wantedStep = '';
  return step;
}

/** Counts the openings by number, so that the unit already shown opens at another step too. */
export const openings = signal(0);

/** The unit of this number is what the screen shows. Its address may also be its id, which is no number. */
export const isShown = (number: number) => route.value.screen === 'unit' && route.value.id === String(number);

export function openUnit(number: string | number, at = ''): void {
  go(pathOf('units', number));
  wantedStep = at;
  openings.value += 1;
}

addEventListener('popstate', () => (path.value = location.pathname));

/** Links inside the client change the screen without loading the page anew. */
document.addEventListener('click', (event) => {
  if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
  const link = event.target instanceof Element ? event.target.closest('a') : null;
  if (link === null || link.target !== '' || link.hasAttribute('download') || link.origin !== location.origin) return;
  if (link.pathname.startsWith('/api/')) return;
  event.preventDefault();
  go(link.pathname);
});
