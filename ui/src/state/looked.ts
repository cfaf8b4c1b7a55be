import type { UnitView } from '../api';
import { type LookedAt, afterLook, isChanged } from '../lib/looked';

const kKey = 'lotwright.looked';

function read(): LookedAt {
  try {
    return JSON.parse(localStorage.getItem(kKey) ?? '{}') as LookedAt;
  } catch {
    return {};
  }
}

/** Whether the planner itself says something else than when this bench last looked. The first advice seen of the same facts
 * is kept, so the answer stays the same until something happens to the unit. */
export function plannerChanged(view: UnitView): boolean {
  return isChanged(read(), view);
}

/** Notes what was advised. */
export function noteLook(view: UnitView): void {
  const seen = read();
  const next = afterLook(seen, view);
  if (next === seen) return;
  try {
    localStorage.setItem(kKey, JSON.stringify(next));
  } catch {
    // Without it a change of the planner is not named; nothing else rests on it.
  }
}
