/** What can be recorded besides steps. A form opens in its place, prefilled; nothing covers the screen. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';

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
/** What a keypad can choose at once. */
const kDigits = 9;
const kAtOnce: Record<string, string> = { 'taken-up': 'taken up', 'wait-ended': 'waiting is over' };

export function Actions({ open }: { open: FormId | null }) {
  const { view, record, openForm } = useWork();
  const [page, setPage] = useState<number | null>(null);
  const shown = kActions.filter(([kind]) => showsMoney() || !kOfMoney.has(kind));
  const possible = shown.filter(([kind]) => allowedAction(view, kind).allowed);
  const not = shown.filter(([kind]) => !allowedAction(view, kind).allowed);
  const press = (kind: string) => {
    const words = kAtOnce[kind];
    if (words !== undefined) void record([{ kind, body: {} }], words);
    else openForm(open === kind ? null : (kind as FormId));
  };
  const pages = Math.ceil(possible.length / kDigits);
  useKeys({
    letter: (letter) => {
      const action = possible.find(([, , key]) => key === letter);
      if (action) press(action[0]);
    },
    record: () => setPage(page === null ? 0 : page + 1 < pages ? page + 1 : null),
  });
  const digitOf = (at: number) => (page !== null && Math.floor(at / kDigits) === page ? at % kDigits + 1 : undefined);
  return (
    <Panel title="Record" aside={<span class="small soft for-keys">{page === null ? 'keypad * gives them digits' : 'digit, or 0 to leave it'}</span>}>
      {page !== null && <Offered leave={() => setPage(null)} take={(digit) => {
        const action = possible[page * kDigits + digit - 1];
        setPage(null);
        if (digit > 0 && action) press(action[0]);
      }} />}
      <div class="row">
        {possible.map(([kind, name, key], at) => {
          const keyed = digitOf(at) ?? (page === null ? key : undefined);
          return <Button key={kind} {...(keyed === undefined ? {} : { keyed })} expanded={open === kind} onClick={() => press(kind)}>{name}</Button>;
        })}
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

/** While it is there, digits choose what to record. It stands after the step's own keys and so comes before them. */
function Offered({ take, leave }: { take: (digit: number) => void; leave: () => void }) {
  const place = useRef<HTMLSpanElement>(null);
  useKeys({ choose: take, escape: leave });
  useEffect(() => place.current?.scrollIntoView({ block: 'nearest' }), []);
  return <span class="unseen" role="status" ref={place}>Choose what to record by its digit.</span>;
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
  const change = (id: string, value: string) => {
    const after = { ...values, [id]: value };
    setValues(form?.follow?.(values, after) ?? after);
  };
  const choice = form?.fields.find((field) => field.kind === 'choice');
  const typed = form?.fields.findIndex((field) => field.kind !== 'choice') ?? 0;
  const submit = () => {
    if (form === null) return;
    const found = formProblems(form, values, currency);
    setProblems(found);
    if (busy || Object.keys(found).length > 0) return;
    const { body, words } = form.make(reader(values, currency));
    void record([{ kind, body }], words);
  };
  useKeys({
    enter: submit,
    ...(choice === undefined ? {} : { choose: (digit: number) => {
      const option = choice.options?.[digit - 1];
      if (option) change(choice.id, option[0]);
    } }),
  });
  if (form === null) return null;
  return (
    <Panel title={form.title}>
      <form class="stack" onSubmit={(event) => {
        event.preventDefault();
        submit();
      }}>
        <div class="fields">
          {form.fields.map((field, at) => (
            <FormInput key={field.id} field={field} value={values[field.id] ?? ''} problem={problems[field.id]} currency={currency} focus={at === typed}
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
  if (field.kind === 'choice') return <Choice label={label} value={value} onChange={onInput} options={(field.options ?? []).map(([id, name], at) => [id, at < kDigits ? `${at + 1}  ${name}` : name])} />;
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
  useKeys({
    enter: save,
    choose: (digit) => {
      const each = assemblies[digit - 1];
      if (each) toggle(each.id, !taken.has(each.id));
    },
  });
  return (
    <Panel title="Part it out: these go to the shelf">
      <form class="stack" onSubmit={(event) => {
        event.preventDefault();
        save();
      }}>
        <div>{assemblies.map((each, at) => (
          <div key={each.id} class="row spread"><Tick label={at < kDigits ? `${at + 1}  ${each.name}` : each.name} checked={taken.has(each.id)} onChange={(on) => toggle(each.id, on)} />
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
