import { useRef, useState } from 'preact/hooks';

import type { CheckView, Step } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { nameAfter } from '../../lib/bench';
import { chosenBy, digitForIndex, outcomeOf } from '../../lib/events';
import { parseNumber, percent } from '../../lib/format';
import { keys, useKeys } from '../../state/keyboard';
import { findingOf, plannedMinutes } from './record';
import { Target } from './Target';
import { useWork } from './work';

/** A check's outcomes as large targets, each with its chance and what would follow; a digit, a tap or a typed reading records
 * one. */
export function CheckOutcomes({ check, advice }: { check: CheckView; advice: Step | null }) {
  const { view, record, busy } = useWork();
  const [unsure, setUnsure] = useState(false);
  const [minutes, setMinutes] = useState(() => plannedMinutes(check));
  const notSure = unsure || keys.value.notSure;

  const save = (outcome: string | null, mark: boolean, reading?: { value: number; unit: string }) => {
    if (busy) return;
    const { words, ...entry } = findingOf(check, outcome, {
      notSure: mark, minutes: parseNumber(minutes), ...(reading ? { reading } : {}),
    });
    void record([entry], words);
  };

  useKeys({
    choose: (digit, mark) => {
      const chosen = chosenBy(digit, check.outcomes.length);
      if (chosen === 'cannot-tell') save(null, false);
      else if (chosen !== null) save(check.outcomes[chosen]?.id ?? null, mark || unsure);
    },
  });

  return (
    <div class="stack">
      <div class="targets">
        {check.outcomes.map((outcome, at) => (
          <Target key={outcome.id} digit={digitForIndex(at)} busy={busy} onPress={() => save(outcome.id, notSure)}
            aside={outcome.probability === null ? '' : `${outcome.chance} (${percent(outcome.probability)})`}
            then={advice === null ? '' : nameAfter(view, advice, outcome.id)}
            mark={check.standing === outcome.id ? 'read before' : ''}>
            {outcome.name}
          </Target>
        ))}
        <Target digit={0} busy={busy} onPress={() => save(null, false)} quiet>Can’t tell</Target>
      </div>
      {check.numbers.length > 0 && <Reading check={check} save={(outcome, reading) => save(outcome, notSure, reading)} />}
      <div class="row spread">
        <Button pressed={notSure} keyed="." onClick={() => setUnsure(!unsure)}>Not sure</Button>
        <span class="minutes-field"><Field label="Counts" kind="amount" unit="min" value={minutes} onInput={setMinutes}
          problem={parseNumber(minutes) === null && minutes.trim() !== '' ? 'A number of minutes' : undefined} /></span>
      </div>
    </div>
  );
}

/** A number typed where the check has limits for its outcomes. */
function Reading({ check, save }: { check: CheckView; save: (outcome: string, reading: { value: number; unit: string }) => void }) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | undefined>();
  const form = useRef<HTMLFormElement>(null);
  const unit = check.numbers[0]?.unit ?? '';
  const value = parseNumber(text);
  const outcome = value === null ? null : outcomeOf(check.numbers, value);
  const name = check.outcomes.find((each) => each.id === outcome)?.name;
  useKeys({ letter: (letter) => letter === 'v' && form.current?.querySelector('input')?.focus() });
  return (
    <form ref={form} class="reading row" onSubmit={(event) => {
      event.preventDefault();
      if (value === null) return setProblem('Type the number that you read.');
      if (outcome === null) return setProblem('No outcome has limits around this number; choose one below.');
      save(outcome, { value, unit });
    }}>
      <Field label="Reading (key v)" kind="amount" unit={unit} value={text} problem={problem}
        onInput={(next) => (setText(next), setProblem(undefined))} />
      <Button submit>{name ? `Record: ${name}` : 'Record'}</Button>
    </form>
  );
}
