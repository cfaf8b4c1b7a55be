import { useEffect, useRef, useState } from 'preact/hooks';

import type { TestView } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { minutes, number } from '../../lib/format';
import { parseReading } from '../../lib/reading';
import { useKeys } from '../../state/keyboard';
import { say } from '../../state/notices';
import { Target } from './Target';
import { useWork } from './work';

const isValue = (test: TestView) => test.min !== null || test.max !== null;

function limits(test: TestView): string {
  if (test.min !== null && test.max !== null) return `${number(test.min, 3)} to ${number(test.max, 3)} ${test.unit}`;
  if (test.min !== null) return `at least ${number(test.min, 3)} ${test.unit}`;
  return test.max === null ? '' : `at most ${number(test.max, 3)} ${test.unit}`;
}

/** The full function test: one item after the other, 1 passed, 2 failed, 0 later; a value is typed
 * (1 goes to its field). `opened`: the person
 * asked for it, so a value's field may take the focus; else keys still mean outcomes and unit numbers. */
export function TestSheet({ opened = false }: { opened?: boolean }) {
  const { view, record, busy } = useWork();
  const { tests } = view;
  const open = tests.findIndex((test) => test.result === null);
  const [chosen, setChosen] = useState<number | null>(null);
  const [started, setStarted] = useState(opened);
  const at = chosen ?? (open < 0 ? null : open);
  const test = at === null ? undefined : tests[at];
  const taken = tests.filter((each) => each.result !== null).length;
  const required = tests.filter((each) => each.required && each.result === null).length;

  const later = () => {
    if (at === null) return;
    const next = tests.findIndex((each, index) => index > at && each.result === null);
    setChosen(next < 0 ? null : next);
  };
  const save = (result: { passed: boolean } | { value: number }, words: string) => {
    if (busy || test === undefined) return;
    const body = { test: test.id, ...result, minutes: test.minutes };
    void record([{ kind: 'test-result', body }], `${test.name}: ${words}`, 'stay').then((stored) => {
      if (!stored) return;
      setChosen(null);
      setStarted(true);
    });
  };
  const item = useRef<HTMLDivElement>(null);
  useKeys({
    choose: (digit) => {
      if (digit === 0) return later();
      if (test === undefined) return;
      if (digit === 1 && isValue(test)) return item.current?.querySelector('input')?.focus();
      if (digit === 1) save({ passed: true }, 'passed');
      if (digit === 2) save({ passed: false }, isValue(test) ? 'failed without a reading' : 'failed');
    },
    ...(test !== undefined && isValue(test) ? { reading: (text: string) => {
      const read = parseReading(text, test.unit);
      if ('problem' in read) say({ tone: 'bad', text: read.problem });
      else save({ value: read.value }, `${number(read.value, 3)} ${test.unit}`);
    } } : {}),
  });
  return (
    <div class="stack">
      <div class="row spread">
        <b>{taken} of {tests.length} taken{required > 0 ? `, ${required} required ones open` : ''}</b>
        <progress max={tests.length} value={taken} aria-label="Test items taken" />
      </div>
      {test && (
        <div class="test-item stack" ref={item}>
          <h3 class="test-name">{test.name}</h3>
          {test.how !== '' && <p>{test.how}</p>}
          <p class="small soft">{[`${minutes(test.minutes)} of hands`, test.wait_minutes > 0 && `${minutes(test.wait_minutes)} of waiting${test.attended ? ', attended' : ''}`,
            limits(test), !test.required && 'may be left out'].filter(Boolean).join(' · ')}</p>
          {isValue(test)
            ? <Value key={test.id} test={test} focus={started} save={(value) => save({ value }, `${number(value, 3)} ${test.unit}`)} later={later}
                failed={() => save({ passed: false }, 'failed without a reading')} />
            : (
              <div class="targets">
                <Target digit={1} busy={busy} onPress={() => save({ passed: true }, 'passed')}>Passed</Target>
                <Target digit={2} busy={busy} onPress={() => save({ passed: false }, 'failed')}>Failed</Target>
                <Target digit={0} onPress={later} quiet>Later</Target>
              </div>
            )}
        </div>
      )}
      {!test && <p>Every item is taken.</p>}
      <ol class="hairlines test-list">
        {tests.map((each, index) => (
          <li key={each.id}>
            <button type="button" class="bare row" aria-current={index === at ? 'step' : undefined} onClick={() => setChosen(index)}>
              <span class="grow">{each.name}{!each.required && <span class="soft"> (may be left out)</span>}</span>
              <Result test={each} />
            </button>
          </li>
        ))}
      </ol>
    </div>
  );
}

function Result({ test }: { test: TestView }) {
  if (test.result === null) return <span class="soft">open</span>;
  const value = test.result.value === null ? '' : `${number(test.result.value, 3)} ${test.unit} · `;
  return <b class={test.result.passed ? 'good' : 'bad'}>{value}{test.result.passed ? '✓ passed' : '✗ failed'}</b>;
}

/** A measured item. It can fail without a number too: on a dead unit a low reading is no good sign. */
function Value({ test, focus, save, failed, later }: {
  test: TestView; focus: boolean; save: (value: number) => void; failed: () => void; later: () => void;
}) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | undefined>();
  const form = useRef<HTMLFormElement>(null);
  const focusField = () => form.current?.querySelector('input')?.focus();
  useKeys({ letter: (letter) => letter === 'v' && focusField() });
  useEffect(() => {
    if (focus) focusField();
  }, []);
  return (
    <form ref={form} class="reading row" onSubmit={(event) => {
      event.preventDefault();
      const read = parseReading(text, test.unit);
      if ('problem' in read) setProblem(read.problem);
      else save(read.value);
    }}>
      <Field label={`Reading, ${limits(test)} (key v or 1)`} kind="amount" unit={test.unit} value={text} problem={problem} onInput={setText} />
      <Button submit kind="main">Record</Button>
      <Button keyed="2" onClick={failed}>Failed, no reading</Button>
      <Button keyed="0" onClick={later}>Later</Button>
    </form>
  );
}
