/** What-if: belief and next step as they would be after one outcome. Nothing is recorded. */
import { useEffect, useState } from 'preact/hooks';

import { type Supposed, type UnitView, get, paths } from '../../api';
import type { Supposing } from '../../lib/bench';

export interface WhatIf {
  /** Presses suppose an outcome instead of recording it. */
  on: boolean;
  toggle: () => void;
  leave: () => void;
  suppose: (what: Supposing) => void;
  /** What is supposed, from the press on. */
  what: Supposing | null;
  /** What would follow, once the server has answered. */
  answer: Supposed | null;
  problem: string | null;
}

/** Asked anew when something happened to the unit meanwhile; a step that is no longer shown supposes nothing. */
export function useWhatIf(view: UnitView): WhatIf {
  const [on, setOn] = useState(false);
  const [what, setWhat] = useState<Supposing | null>(null);
  const [answer, setAnswer] = useState<Supposed | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    if (what === null) return;
    const abort = new AbortController();
    setProblem(null);
    get<Supposed>(paths.suppose(view.unit.id, what), abort.signal).then(setAnswer, (error: unknown) => {
      if (!abort.signal.aborted) setProblem(error instanceof Error ? error.message : 'It could not be worked out.');
    });
    return () => abort.abort();
  }, [what, view]);
  const leave = () => {
    setOn(false);
    setWhat(null);
    setAnswer(null);
    setProblem(null);
  };
  return { on, toggle: () => (on ? leave() : setOn(true)), leave, suppose: setWhat, what, answer: what === null ? null : answer, problem };
}
