import { computed, signal } from '@preact/signals';

import { parseRoute, pathOf } from '../lib/route';

const path = signal(location.pathname);
export const route = computed(() => parseRoute(path.value));

export function go(to: string): void {
  if (to !== location.pathname) history.pushState(null, '', to);
  path.value = location.pathname;
  scrollTo(0, 0);
}

/** At which step the next bench screen opens: 0 the advised one, n the n-th best of the others. Taken once. */
let wantedStep = 0;
export function takeWantedStep(): number {
  const step = wantedStep;
  wantedStep = 0;
  return step;
}

/** Counts the openings by number, so that the unit already shown opens at another step too. */
export const openings = signal(0);

export function openUnit(number: string | number, step = 0): void {
  wantedStep = step;
  go(pathOf('units', number));
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
