import { useRef, useState } from 'preact/hooks';

import type { CheckView, Step } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { nameAfter, nextMark } from '../../lib/bench';
import { chosenBy, digitForIndex, outcomeOf } from '../../lib/events';
import { parseNumber, percent } from '../../lib/format';
import { parseReading } from '../../lib/reading';
import { keys, useKeys } from '../../state/keyboard';
import { say, speak } from '../../state/notices';
import { ByEye } from './MeterSays';
import { type Reading, findingOf, plannedMinutes } from './record';
import { SupposedNext, WhatIfButton } from './Supposed';
import { Target } from './Target';
import { useWork } from './work';

/** A check's outcomes as large targets, each with its chance and what would follow; a digit, a tap, a typed reading or a pedal
 * records one. In a what-if they are supposed instead. */
export function CheckOutcomes({ check, advice }: { check: CheckView; advice: Step | null }) {
  const { view, record, busy, whatIf } = useWork();
  const [unsure, setUnsure] = useState(false);
  const [marked, setMarked] = useState<number | null>(null);
  const [minutes, setMinutes] = useState(() => plannedMinutes(check));
  const notSure = unsure || keys.value.notSure;
  const count = check.outcomes.length;

  const save = (outcome: string | null, mark: boolean, reading?: Reading) => {
    if (busy) return;
    const { words, ...entry } = findingOf(check, outcome, {
      notSure: mark, minutes: parseNumber(minutes), ...(reading ? { reading } : {}),
    });
    void record([entry], words);
  };
  /** `at`: a place among the outcomes, the place after the last for "can't tell". */
  const take = (at: number, mark: boolean) => {
    const outcome = check.outcomes[at];
    if (!whatIf.on) return save(outcome?.id ?? null, mark);
    if (outcome !== undefined) whatIf.suppose({ check: check.id, outcome: outcome.id, words: `${check.name}: ${outcome.name}` });
  };
  const mark = () => {
    const next = nextMark(check.outcomes.map(({ probability }) => probability ?? 0), marked);
    setMarked(next);
    speak(check.outcomes[next]?.name ?? 'Can’t tell');
  };
  const read = (text: string, mark: boolean) => readingOf(check, text, (outcome, reading) => save(outcome, mark || unsure, reading));

  useKeys({
    choose: (digit, mark) => {
      const chosen = chosenBy(digit, count);
      if (chosen !== null) take(chosen === 'cannot-tell' ? count : chosen, mark || unsure);
    },
    letter: (letter) => letter === 'i' && whatIf.toggle(),
    minutes: (text) => setMinutes(text.replace(/[.,]$/, '')),
    mark,
    accept: () => (marked === null ? mark() : take(marked, notSure)),
    ...(check.numbers.length > 0 ? { reading: (text: string, mark: boolean) => {
      const problem = read(text, mark);
      if (problem !== null) say({ tone: 'bad', text: problem });
    } } : {}),
  });

  const cannotTell = whatIf.on ? null
    : <Target digit={0} busy={busy} onPress={() => take(count, false)} marked={marked === count} quiet>Can’t tell</Target>;
  // In two columns it fills the place that an odd number of outcomes leaves.
  const inGrid = count % 2 === 1;
  return (
    <div class={whatIf.on ? 'stack what-if' : 'stack'}>
      <div class="targets">
        {check.outcomes.map((outcome, at) => (
          <Target key={outcome.id} digit={digitForIndex(at)} busy={busy} onPress={() => take(at, notSure)} marked={marked === at}
            supposed={whatIf.what !== null && 'outcome' in whatIf.what && whatIf.what.outcome === outcome.id}
            aside={outcome.probability === null ? '' : `${outcome.chance} (${percent(outcome.probability)})`}
            then={advice === null ? '' : nameAfter(view, advice, outcome.id)}
            mark={check.standing === outcome.id ? 'read before' : ''}>
            {outcome.name}
          </Target>
        ))}
        {inGrid && cannotTell}
      </div>
      <div class="tools">
        {!inGrid && cannotTell}
        {!whatIf.on && <Button pressed={notSure} keyed="." onClick={() => setUnsure(!unsure)}>Not sure</Button>}
        <WhatIfButton />
        {!whatIf.on && (
          <span class="minutes-field"><Field label="Counts" kind="amount" unit="min" value={minutes} onInput={setMinutes}
            problem={parseNumber(minutes) === null && minutes.trim() !== '' ? 'A number of minutes' : undefined} /></span>
        )}
      </div>
      {whatIf.on && <SupposedNext />}
      {check.reads_meter && check.numbers.length === 0 && !whatIf.on && <ByEye check={check} />}
      {check.numbers.length > 0 && !whatIf.on && <ReadingField check={check} read={(text) => read(text, notSure)} />}
    </div>
  );
}

/** Gives a typed reading with its outcome to `save`; or says what is wrong with it. */
function readingOf(check: CheckView, text: string, save: (outcome: string, reading: Reading) => void): string | null {
  const unit = check.numbers[0]?.unit ?? '';
  const read = parseReading(text, unit);
  if ('problem' in read) return read.problem;
  const outcome = outcomeOf(check.numbers, read.value);
  if (outcome === null) return `No outcome has limits around ${text}; choose one yourself.`;
  save(outcome, { value: read.value, unit });
  return null;
}

/** A number typed where the check has limits for its outcomes. */
function ReadingField({ check, read }: { check: CheckView; read: (text: string) => string | null }) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | undefined>();
  const form = useRef<HTMLFormElement>(null);
  const unit = check.numbers[0]?.unit ?? '';
  const typed = parseReading(text, unit);
  const outcome = 'value' in typed ? outcomeOf(check.numbers, typed.value) : null;
  const name = check.outcomes.find((each) => each.id === outcome)?.name;
  useKeys({ letter: (letter) => letter === 'v' && form.current?.querySelector('input')?.focus() });
  return (
    <form ref={form} class="reading" onSubmit={(event) => {
      event.preventDefault();
      setProblem(read(text) ?? undefined);
    }}>
      <Field label="Reading: type 0.412 Enter, or key v" kind="amount" unit={unit} value={text} problem={problem}
        onInput={(next) => (setText(next), setProblem(undefined))} />
      <Button submit>{name ? `Record: ${name}` : 'Record'}</Button>
    </form>
  );
}
