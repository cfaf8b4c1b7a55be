/** What a bench last saw advised of each unit, so that a change of the planner itself can be named. Pure. */
import type { UnitView } from '../api';

/** Units kept; the longest unseen is forgotten first. */
const kKept = 300;

export interface Looked {
  /** Everything of the journal that the advice rests on: the same text, the same facts. */
  facts: string;
  next: string;
}

export type LookedAt = Record<string, Looked>;

/** The facts behind a unit's advice: its entries, the struck ones, the profile's text. */
export function factsOf(view: UnitView): string {
  const entries = view.diary.map((line) => `${line.entry}${line.struck ? '-' : ''}`);
  return [view.unit.profile_hash, ...entries].join(' ');
}

/** Whether other advice stands here than when this bench last saw the very same facts. */
export function isChanged(seen: LookedAt, view: UnitView): boolean {
  const last = seen[view.unit.id];
  return last !== undefined && view.advice !== null && last.facts === factsOf(view) && last.next !== nextOf(view);
}

/** What is kept after a look; the same object where nothing is new. */
export function afterLook(seen: LookedAt, view: UnitView): LookedAt {
  const last = seen[view.unit.id];
  const now = { facts: factsOf(view), next: nextOf(view) };
  if (view.advice === null || (last !== undefined && last.facts === now.facts)) return seen;
  const others = Object.entries(seen).filter(([unit]) => unit !== view.unit.id);
  return Object.fromEntries([...others, [view.unit.id, now] as const].slice(-kKept));
}

const nextOf = (view: UnitView) => (view.advice === null ? '' : `${view.advice.next.kind}/${view.advice.next.id}`);
