import { useRef, useState } from 'preact/hooks';

import { Expected, ForOwner } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { type BenchStep, advisedKey, filterSteps, waitsFor } from '../../lib/bench';
import { minutes } from '../../lib/format';
import { useKeys } from '../../state/keyboard';
import { useWork } from './work';

/** Every check, repair and way to stop. Its letter, or a tap, puts it in the place of the advised one. */
export function StepList({ shown }: { shown: string | null }) {
  const { view, steps, choose } = useWork();
  const [text, setText] = useState('');
  const input = useRef<HTMLInputElement>(null);
  const found = filterSteps(steps, text);
  useKeys({
    letter: (letter) => {
      if (letter === 'f') return input.current?.focus();
      const step = steps.find((each) => each.letter === letter);
      if (step) choose(step.key);
    },
  });
  return (
    <Panel title="Or take another step" aside={<span class="small soft">by its letter</span>}>
      <form onSubmit={(event) => {
        event.preventDefault();
        if (found[0]) choose(found[0].key);
        setText('');
        input.current?.blur();
      }}>
        <input ref={input} class="input" value={text} onInput={(event) => setText(event.currentTarget.value)} autocomplete="off"
          aria-label="Filter the steps, key f" placeholder="f  filter, Enter takes the first" />
      </form>
      <ul class="hairlines step-list">
        {found.map((step) => (
          <li key={step.key}>
            <button type="button" class="bare step-row" aria-current={step.key === shown ? 'step' : undefined} onClick={() => choose(step.key)}>
              <span class={step.letter === '' ? 'key none' : 'key'} aria-hidden="true">{step.letter}</span>
              <span class="grow">{step.name}<Side step={step} advised={step.key === advisedKey(view)} /></span>
              {step.advice && <ForOwner><Expected value={step.advice.value} currency={view.unit.currency} /></ForOwner>}
            </button>
          </li>
        ))}
        {found.length === 0 && <li class="soft">No step has these words in its name.</li>}
      </ul>
    </Panel>
  );
}

function Side({ step, advised }: { step: BenchStep; advised: boolean }) {
  const kind = { check: 'check', repair: 'repair', outlet: 'stop' }[step.kind];
  const time = step.advice ? minutes(step.advice.hands_on_minutes) : '';
  const rank = advised ? 'advised' : step.rank === null ? 'not in the plan now' : '';
  const first = waitsFor(step);
  const gate = first.length === 0 ? '' : `first “${first.join('”, “')}”`;
  return <span class="small soft side">{[kind, time, gate || rank].filter(Boolean).join(' · ')}</span>;
}
