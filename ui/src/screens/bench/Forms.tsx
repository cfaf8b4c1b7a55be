/** What can be recorded besides steps. A form opens in its place, prefilled; nothing covers the screen. */
import { useMemo, useState } from 'preact/hooks';

import { Button } from '../../components/Button';
import { Choice, Field, Tick } from '../../components/Field';
import { Chance } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { allowedAction } from '../../lib/bench';
import { type FormField, type Values, formOf, formProblems, reader } from '../../lib/forms';
import { parseNumber } from '../../lib/format';
import { useKeys } from '../../state/keyboard';
import { showsMoney } from '../../state/settings';
import { kOfMoney } from './OutletChoices';
import { TestSheet } from './TestSheet';
import { type FormId, useWork } from './work';

const kActions: readonly (readonly [FormId | 'taken-up' | 'wait-ended', string, string?])[] = [
  ['mended', 'Mended'], ['test-result', 'Full test', 't'], ['graded', 'Grade'], ['offered', 'Offer'], ['sold', 'Sold'], ['returned', 'Take back'],
  ['parted-out', 'Part out'], ['scrapped', 'Scrap'], ['held-aside', 'Hold aside'], ['released', 'Release'], ['put-aside', 'Put aside'],
  ['taken-up', 'Take up'], ['wait-started', 'Start waiting'], ['wait-ended', 'Waiting is over'], ['assembly-absent', 'Assembly missing'],
  ['identified', 'Serial'], ['cost-added', 'Cost'], ['note', 'Note', 'n'],
];
const kAtOnce: Record<string, string> = { 'taken-up': 'taken up', 'wait-ended': 'waiting is over' };

export function Actions({ open }: { open: FormId | null }) {
  const { view, record, openForm } = useWork();
  const shown = kActions.filter(([kind]) => showsMoney() || !kOfMoney.has(kind));
  const possible = shown.filter(([kind]) => allowedAction(view, kind).allowed);
  const not = shown.filter(([kind]) => !allowedAction(view, kind).allowed);
  const press = (kind: string) => {
    const words = kAtOnce[kind];
    if (words !== undefined) void record([{ kind, body: {} }], words);
    else openForm(open === kind ? null : (kind as FormId));
  };
  useKeys({
    letter: (letter) => {
      const action = possible.find(([, , key]) => key === letter);
      if (action) press(action[0]);
    },
  });
  return (
    <Panel title="Record">
      <div class="row">
        {possible.map(([kind, name, key]) => (
          <Button key={kind} {...(key ? { keyed: key } : {})} expanded={open === kind} onClick={() => press(kind)}>{name}</Button>
        ))}
      </div>
      {not.length > 0 && (
        <details class="small not-now">
          <summary class="soft">Not now: {not.map(([, name]) => name).join(', ')}</summary>
          <dl>{not.map(([kind, name]) => <div key={kind}><dt>{name}</dt><dd class="soft">{allowedAction(view, kind).why}</dd></div>)}</dl>
        </details>
      )}
    </Panel>
  );
}

export function OpenForm({ kind, asIs }: { kind: FormId; asIs: boolean }) {
  const { openForm } = useWork();
  useKeys({ escape: () => openForm(null) });
  if (kind === 'parted-out') return <PartOut />;
  if (kind === 'test-result') {
    return <Panel title="Full function test" aside={<Button slim kind="plain" onClick={() => openForm(null)}>Close</Button>}><TestSheet opened /></Panel>;
  }
  return <PlainForm key={kind} kind={kind} asIs={asIs} />;
}

function PlainForm({ kind, asIs }: { kind: FormId; asIs: boolean }) {
  const { view, record, openForm, busy } = useWork();
  const { currency } = view.unit;
  const form = useMemo(() => formOf(kind, view, new Date(), asIs), [kind]);
  const [values, setValues] = useState<Values>(() => Object.fromEntries((form?.fields ?? []).map((field) => [field.id, field.start])));
  const [problems, setProblems] = useState<Record<string, string>>({});
  if (form === null) return null;
  const change = (id: string, value: string) => {
    const after = { ...values, [id]: value };
    setValues(form.follow?.(values, after) ?? after);
  };
  return (
    <Panel title={form.title}>
      <form class="stack" onSubmit={(event) => {
        event.preventDefault();
        const found = formProblems(form, values, currency);
        setProblems(found);
        if (busy || Object.keys(found).length > 0) return;
        const { body, words } = form.make(reader(values, currency));
        void record([{ kind, body }], words);
      }}>
        <div class="fields">
          {form.fields.map((field, at) => (
            <FormInput key={field.id} field={field} value={values[field.id] ?? ''} problem={problems[field.id]} currency={currency} focus={at === 0}
              onInput={(value) => change(field.id, value)} />
          ))}
        </div>
        <div class="row">
          <Button submit kind="main">{form.does}</Button>
          <Button onClick={() => openForm(null)} keyed="Esc">Leave it</Button>
        </div>
      </form>
    </Panel>
  );
}

const kInputs = { text: 'text', money: 'amount', minutes: 'amount', date: 'date', time: 'datetime-local' } as const;

function FormInput({ field, value, problem, currency, focus, onInput }: {
  field: FormField; value: string; problem: string | undefined; currency: string; focus: boolean; onInput: (value: string) => void;
}) {
  const label = field.optional === true ? `${field.label} (may be left out)` : field.label;
  if (field.kind === 'choice') return <Choice label={label} value={value} options={field.options ?? []} onChange={onInput} />;
  if (field.kind === 'long') return <Field label={label} value={value} onInput={onInput} problem={problem} rows={3} focus={focus} />;
  const unit = field.kind === 'money' ? { unit: currency } : field.kind === 'minutes' ? { unit: 'min' } : {};
  return <Field label={label} value={value} onInput={onInput} problem={problem} kind={kInputs[field.kind]} focus={focus} {...unit} />;
}

/** A donor: what is probably good stands ticked. */
function PartOut() {
  const { view, record, openForm, busy } = useWork();
  const assemblies = view.belief?.assemblies ?? [];
  const kProbablyGood = 0.5;
  const [taken, setTaken] = useState<ReadonlySet<string>>(() => new Set(
    assemblies.filter((each) => each.good > kProbablyGood).map((each) => each.id)));
  const [minutes, setMinutes] = useState('');
  const bad = minutes.trim() !== '' && parseNumber(minutes) === null;
  const toggle = (id: string, on: boolean) => setTaken(new Set(on ? [...taken, id] : [...taken].filter((each) => each !== id)));
  const save = () => {
    if (busy || bad) return;
    const body = { taken: assemblies.filter((each) => taken.has(each.id)).map((each) => each.id),
      ...(minutes.trim() === '' ? {} : { minutes: parseNumber(minutes) }) };
    void record([{ kind: 'parted-out', body }], `parted out, ${taken.size} taken`);
  };
  return (
    <Panel title="Part it out: these go to the shelf">
      <form class="stack" onSubmit={(event) => {
        event.preventDefault();
        save();
      }}>
        <div>{assemblies.map((each) => (
          <div key={each.id} class="row spread"><Tick label={each.name} checked={taken.has(each.id)} onChange={(on) => toggle(each.id, on)} />
            <span class="small">good: <Chance p={each.good} words={each.chance} /></span></div>
        ))}</div>
        <div class="fields"><Field label="Minutes of hands (may be left out)" kind="amount" unit="min" value={minutes} onInput={setMinutes}
          problem={bad ? 'A number of minutes.' : undefined} /></div>
        <div class="row">
          <Button submit kind="main">Part it out</Button>
          <Button onClick={() => openForm(null)} keyed="Esc">Leave it</Button>
        </div>
      </form>
    </Panel>
  );
}
