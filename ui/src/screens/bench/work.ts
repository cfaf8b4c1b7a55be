/** What the parts of the bench share: the unit shown, and how to record about it. */
import { createContext } from 'preact';
import { useContext } from 'preact/hooks';

import type { UnitView } from '../../api';
import type { BenchStep } from '../../lib/bench';
import type { Body } from '../../lib/events';
import { type Draft, append } from '../../state/journal';
import { say } from '../../state/notices';
import type { WhatIf } from './whatif';

export interface Work {
  view: UnitView;
  steps: BenchStep[];
  /** Something is on its way to the server: a further press would speak of what is no longer true. */
  busy: boolean;
  /** Records entries about this unit; then the advised step is shown again. `stay`: what is open stays open. */
  record: (entries: readonly { kind: string; body: Body }[], words: string, stay?: 'stay') => Promise<boolean>;
  strike: (entry: string, words: string) => void;
  /** Takes a step by its key ("check/port-look"), null: the advised one. */
  choose: (key: string | null) => void;
  openForm: (form: FormId | null) => void;
  whatIf: WhatIf;
}

export type FormId =
  | 'offered' | 'sold' | 'returned' | 'parted-out' | 'scrapped' | 'held-aside' | 'released' | 'put-aside'
  | 'wait-started' | 'note' | 'graded' | 'mended' | 'test-result' | 'assembly-absent' | 'cost-added' | 'identified';

export const WorkContext = createContext<Work | null>(null);

export function useWork(): Work {
  const work = useContext(WorkContext);
  if (work === null) throw new Error('useWork outside the bench');
  return work;
}

/** Appends entries about a unit and says that they are recorded. */
export async function recordAbout(unit: string, entries: readonly { kind: string; body: Body }[], words: string): Promise<boolean> {
  const drafts: Draft[] = entries.map(({ kind, body }) => ({ subject: { kind: 'unit', id: unit }, kind, body }));
  const accepted = await append(drafts, words);
  if (accepted === null) return false;
  say({ tone: 'good', text: `Recorded: ${words}.` });
  return true;
}
