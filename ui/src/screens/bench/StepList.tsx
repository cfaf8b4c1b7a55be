import { useRef, useState } from 'preact/hooks';

import { Expected, ForOwner } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { type BenchStep, advisedKey, coded, filterSteps, isGateCaution, isQuick, waitsFor } from '../../lib/bench';
import { digitForIndex } from '../../lib/events';
import { minutes, parseNumber } from '../../lib/format';
import { keys, useKeys } from '../../state/keyboard';
import { firstForm } from './OutletChoices';
import { Warning } from './Cautions';
import { findingOf, plannedMinutes, repairOf } from './record';
import { useWork } from './work';

/** Every check, repair and way to stop. Its letter puts a step in the place of the advised one, where the same digits record its
 * outcomes; a press on an outcome records it where it stands. */
export function StepList({ shown }: { shown: string | null }) {
  const { view, steps, choose } = useWork();
  const [text, setText] = useState('');
  const input = useRef<HTMLInputElement>(null);
  const found = filterSteps(steps, text);
  const take = useTake();
  useKeys({
    letter: (letter) => {
      if (letter === 'f') return input.current?.focus();
      const step = coded(steps, letter, shown);
      if (step?.kind === 'outlet') take(step, 0, false);
      else if (step !== null) choose(step.key);
    },
  });
  return (
    <Panel title="Or another step" aside={<span class="small soft for-keys">its letter, then a digit</span>}>
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
          <li key={step.key} class="step-item">
            <button type="button" class="bare step-row" aria-current={step.key === shown ? 'step' : undefined} onClick={() => choose(step.key)}>
              <span class={step.code !== '' && keys.value.typed === step.code ? 'key step-code armed' : step.code === '' ? 'step-code' : 'key step-code'}
                aria-hidden="true">{step.code}</span>
              <span class="grow">{step.name}<Side step={step} advised={step.key === advisedKey(view)} /></span>
              {step.advice && <ForOwner><Expected value={step.advice.value} currency={view.unit.currency} /></ForOwner>}
            </button>
            {step.key !== advisedKey(view) && isQuick(step) && <Quick step={step} take={take} />}
          </li>
        ))}
        {found.length === 0 && <li class="soft">No step has these words in its name.</li>}
      </ul>
    </Panel>
  );
}

type Take = (step: BenchStep, at: number, notSure: boolean) => void;

/** Records what a press in the list means, as planned: minutes and parts are those of the profile. The place after a check's
 * last outcome is "can't tell". */
function useTake(): Take {
  const { view, record, choose, openForm, busy } = useWork();
  return (step, at, notSure) => {
    if (busy) return;
    if (step.kind === 'outlet') {
      choose(step.key);
      const form = firstForm(view, step.outlet);
      if (form !== null) openForm(form);
      return;
    }
    const { words, ...entry } = step.kind === 'check'
      ? findingOf(step.check, step.check.outcomes[at]?.id ?? null, { notSure, minutes: parseNumber(plannedMinutes(step.check)) })
      : repairOf(step.repair, parseNumber(plannedMinutes(step.repair)) ?? 0, step.repair.parts);
    void record([entry], words);
  };
}

/** What one press can record of a step, with the digit that does it after the step's letter. */
function choicesOf(step: BenchStep): { name: string; digit: number | null }[] {
  if (step.kind === 'repair') return [{ name: 'Done', digit: 1 }];
  if (step.kind === 'outlet') return [{ name: 'Take it', digit: null }];
  return [...step.check.outcomes.map(({ name }, at) => ({ name, digit: digitForIndex(at) })), { name: 'Can’t tell', digit: 0 }];
}

/** What one press records of a step that is not the advised one. */
function Quick({ step, take }: { step: BenchStep; take: Take }) {
  const { busy } = useWork();
  const gates = step.kind === 'outlet' ? [] : (step.kind === 'check' ? step.check : step.repair).cautions.filter(isGateCaution);
  return (
    <>
      {gates.map((text) => <p key={text} class="caution small"><Warning /><span>{text}</span></p>)}
      <div class="quick">
        {choicesOf(step).map(({ name, digit }, at) => (
          <button key={name} type="button" class={digit === 0 ? 'chip quiet' : 'chip'} aria-disabled={busy || undefined}
            onClick={() => take(step, at, keys.value.notSure)}>
            {step.code !== '' && digit !== null && <span class="key" aria-hidden="true">{digit}</span>}
            <span class="said"><span class="unseen">{step.name}: </span>{name}</span>
          </button>
        ))}
      </div>
    </>
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
