/** What would follow a supposed outcome: the next step, what the ways to stop would be worth. */
import { useEffect, useRef } from 'preact/hooks';

import { Button } from '../../components/Button';
import { Expected, ForOwner } from '../../components/Figures';
import { kOutletNames, kOutlets, reasonText } from '../../lib/bench';
import { showsMoney } from '../../state/settings';
import { useWork } from './work';

export function WhatIfButton() {
  const { whatIf } = useWork();
  return <Button pressed={whatIf.on} keyed={whatIf.on ? 'Esc' : 'i'} onClick={whatIf.toggle}>{whatIf.on ? 'Leave what if' : 'What if'}</Button>;
}

export function SupposedNext() {
  const { view, whatIf } = useWork();
  const { what, answer, problem } = whatIf;
  const place = useRef<HTMLElement>(null);
  useEffect(() => {
    if (answer !== null) place.current?.scrollIntoView({ block: 'nearest' });
  }, [answer]);
  if (problem !== null) return <p role="alert" class="bad">{problem}</p>;
  if (what === null) {
    return <p class="supposed-hint">Choose an outcome: belief and next step show as they would be.</p>;
  }
  const next = answer?.advice?.steps[0];
  return (
    <section class="supposed stack" aria-label="Supposed, not recorded" aria-live="polite" ref={place}>
      <p><b>If “{what.words}”</b>{answer?.chance ? <span class="small soft"> {answer.chance}</span> : null}</p>
      {answer === null && <p class="soft">Working it out …</p>}
      {answer !== null && answer.conflict.length > 0 && <p class="bad">That cannot be: it clashes with {answer.conflict.slice(0, -1).map((words) => `“${words}”`).join(', ') || 'what the profile says'}.</p>}
      {answer !== null && answer.conflict.length === 0 && answer.advice === null && <p class="bad">{answer.advice_problem}</p>}
      {answer?.advice && next && (
        <>
          <p class="supposed-next"><span class="small soft">then next: </span>{answer.advice.names[`${next.kind}/${next.id}`]}</p>
          <p class="small">{reasonText(next, showsMoney(), false)}</p>
          <ForOwner>
            <ul class="facts">
              {kOutlets.filter((outlet) => answer.advice?.outlets[outlet] != null).map((outlet) => (
                <li key={outlet}>{kOutletNames[outlet]} <Expected value={answer.advice?.outlets[outlet] ?? 0} currency={view.unit.currency} /></li>
              ))}
            </ul>
          </ForOwner>
        </>
      )}
    </section>
  );
}
