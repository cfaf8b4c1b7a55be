/** A fault, a check or a repair that the profile does not know yet, added from the bench with a few answers: one button or `x`. The first
 * numbers are from memory and say so; the profile screen has all the rest. */
import './profiles.css';

import { useEffect, useState } from 'preact/hooks';

import { type ProfileView, type UnitView, editProfile, get, paths } from '../../api';
import { Button } from '../../components/Button';
import { Choice, Field, Tick } from '../../components/Field';
import { Panel } from '../../components/Panel';
import { parseNumber } from '../../lib/format';
import { kOften, newCheck, newFault, newRepair, type Often } from '../../lib/profile-new';
import { outcomeName } from '../../lib/profile-words';
import { type Table, tablesOf, textOf, textsOf } from '../../lib/profile-tree';
import { append, type Draft } from '../../state/journal';
import { useKeys } from '../../state/keyboard';
import { say } from '../../state/notices';
import { settings, showsMoney } from '../../state/settings';

type Kind = 'fault' | 'check' | 'repair';
const kKinds: readonly (readonly [Kind, string])[] = [['fault', 'A fault'], ['check', 'A check'], ['repair', 'A repair']];
const kKey = 'x';

/** What is asked; the texts that fit the chosen kind. What is not chosen yet is the profile's first. */
interface Answers {
  name: string; assembly?: string; often: Often; check: string; outcome: string; here: boolean;
  minutes: string; at?: string; fault?: string; good: string; bad: string; sku: string; price: string;
}
type Known = { view: ProfileView; tree: Table };

export function QuickAdd({ view }: { view: UnitView }) {
  const [open, setOpen] = useState(false);
  const { profile, closed, id } = view.unit;
  useKeys({ letter: (letter) => letter === kKey && profile !== null && !closed && setOpen(true), escape: () => setOpen(false) });
  if (profile === null || closed) return null;
  if (!open) return <div class="row"><Button keyed={kKey} onClick={() => setOpen(true)}>Not in the profile yet</Button></div>;
  return (
    <Panel title="Not in the profile yet" aside={<Button slim kind="plain" onClick={() => setOpen(false)}>Close</Button>}>
      <Questions key={id} unit={id} number={view.unit.number} profile={profile} level={view.access.at} close={() => setOpen(false)} />
    </Panel>
  );
}

/** The profile as it is now. */
function useKnown(profile: string): { known: Known | null; failed: string | null } {
  const [known, setKnown] = useState<Known | null>(null);
  const [failed, setFailed] = useState<string | null>(null);
  useEffect(() => {
    const stop = new AbortController();
    get<ProfileView>(paths.profile(profile), stop.signal)
      .then(async (view) => ({ view, answer: await editProfile(view.toml, []) }))
      .then(({ view, answer }) => setKnown({ view, tree: (answer.tree ?? {}) as Table }))
      .catch((error: unknown) => stop.signal.aborted || setFailed(error instanceof Error ? error.message : String(error)));
    return () => stop.abort();
  }, [profile]);
  return { known, failed };
}

const kMain = { fault: 'What is wrong', check: 'What is looked at or measured', repair: 'What is done' } as const;

/** The name is asked before the profile is there: nothing typed goes astray. */
function Questions({ unit, number, profile, level, close }: { unit: string; number: number; profile: string; level: string; close: () => void }) {
  const { known, failed } = useKnown(profile);
  const tree = known?.tree ?? {};
  const first = (list: string) => textOf(tablesOf(tree, list)[0], 'id');
  const [kind, setKind] = useState<Kind>('fault');
  const [given, setGiven] = useState<Answers>({ name: '', often: 'some', check: '', outcome: '', here: true, minutes: '2', good: 'Good', bad: 'Bad', sku: '', price: '' });
  const answers = { assembly: first('assembly'), fault: first('fault'), at: level || first('access'), ...given };
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const put = (part: Partial<Answers>) => setGiven({ ...given, ...part });
  const named = (list: string) => tablesOf(tree, list).map((table) => [textOf(table, 'id'), textOf(table, 'name', textOf(table, 'id'))] as const);
  const check = tablesOf(tree, 'check').find((each) => each.id === answers.check);
  const missing = answers.name.trim() === '' ? 'Say in a few words what it is.'
    : known === null ? 'The profile is being read.'
      : kind === 'fault' && answers.assembly === '' ? 'The profile has no assembly yet: add one in the profile first.'
        : kind !== 'fault' && answers.fault === '' ? 'The profile has no fault yet: add that first.'
          : kind !== 'fault' && !((parseNumber(answers.minutes) ?? -1) >= 0) ? 'A number of minutes.'
            : kind === 'repair' && answers.price.trim() !== '' && !((parseNumber(answers.price) ?? -1) >= 0) ? 'A price, such as 9.50.' : null;
  const save = async () => {
    setProblem(missing);
    if (missing !== null || busy || known === null) return;
    setBusy(true);
    try {
      await store(known);
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    } finally {
      setBusy(false);
    }
  };
  const store = async ({ view }: Known) => {
    const comment = `From memory, added at the bench${settings.value.who === '' ? '' : ` by ${settings.value.who.replace(/[\u0000-\u001f\u007f]/g, ' ').slice(0, 60)}`}, ${new Date().toISOString().slice(0, 10)}.`;
    const made = kind === 'fault' ? newFault(tree, answers, comment) : kind === 'check' ? newCheck(tree, answers, comment) : newRepair(tree, answers, comment);
    const answer = await editProfile(view.toml, made.edits);
    if (!answer.ok) throw new Error(answer.problems.find(({ severity }) => severity === 'error')?.what ?? 'The profile would not be right.');
    const words = `${kind} “${answers.name.trim()}” added to the profile`;
    const drafts: Draft[] = [{ subject: { kind: 'profile', id: view.id }, kind: 'profile-saved', body: { toml: answer.toml, based_on: view.hash } }];
    if (kind === 'fault' && answers.here) drafts.push({ subject: { kind: 'unit', id: unit }, kind: 'confirmed', body: { event: { confirmed: made.id } } });
    if ((await append(drafts, words)) === null) return;
    say({ tone: 'good', text: `Recorded: ${words}, with first numbers from memory.` });
    close();
  };
  return (
    <form class="stack quick-add" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <div class="row" role="group" aria-label="What is new">
        {kKinds.map(([id, words]) => <Button key={id} pressed={kind === id} onClick={() => setKind(id)}>{words}</Button>)}
      </div>
      <div class="fields">
        <Field key={kind} label={kMain[kind]} value={answers.name} onInput={(name) => put({ name })} problem={problem ?? undefined} focus />
        {known !== null && (kind === 'fault'
          ? (
            <>
              <Choice label="In which assembly" value={answers.assembly} options={named('assembly')} onChange={(assembly) => put({ assembly })} />
              <Choice label="How often, from memory" value={answers.often} options={kOften.map(([id, words]) => [id, words] as const)} onChange={(often) => put({ often })} />
              <Choice label="A check that shows it" value={answers.check} options={[['', 'none yet'], ...named('check')]}
                onChange={(next) => put({ check: next, outcome: textsOf(tablesOf(tree, 'check').find((each) => each.id === next), 'outcomes').at(-1) ?? '' })} />
              {check !== undefined && <Choice label="as" value={answers.outcome} options={textsOf(check, 'outcomes').map((id) => [id, outcomeName(check, id)] as const)}
                onChange={(outcome) => put({ outcome })} />}
            </>
          )
          : (
            <>
              <Choice label={kind === 'check' ? 'It tells of' : 'It mends'} value={answers.fault} options={named('fault')} onChange={(fault) => put({ fault })} />
              <Field label="Minutes of hands" kind="amount" unit="min" value={answers.minutes} onInput={(minutes) => put({ minutes })} />
              <Choice label="With the unit" value={answers.at} options={[['', 'as far open as you like'], ...named('access')]} onChange={(at) => put({ at })} />
              {kind === 'check' && <Field label="What it shows when all is well" value={answers.good} onInput={(good) => put({ good })} />}
              {kind === 'check' && <Field label="and with the fault" value={answers.bad} onInput={(bad) => put({ bad })} />}
              {kind === 'repair' && <Field label="Part (may be left out)" value={answers.sku} onInput={(sku) => put({ sku })} />}
              {kind === 'repair' && showsMoney() && answers.sku.trim() !== '' && <Field label="Its price" kind="amount" unit={known.view.currency} value={answers.price} onInput={(price) => put({ price })} />}
            </>
          ))}
      </div>
      {failed !== null && <p class="bad" role="alert">The profile cannot be read: {failed}</p>}
      {known === null && failed === null && <p class="soft" role="status">Reading the profile.</p>}
      {kind === 'fault' && <Tick label={`Unit ${number} has it: I saw it`} checked={answers.here} onChange={(here) => put({ here })} />}
      <p class="small soft">Its first numbers are from memory and count little until it was seen more often. Everything else is changed on the profile’s screen.</p>
      <div class="row">
        <Button submit kind="main">Add it</Button>
        <Button keyed="Esc" onClick={close}>Leave it</Button>
      </div>
    </form>
  );
}
