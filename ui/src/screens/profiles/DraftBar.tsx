/** What is changed and not saved, what is wrong with it, and the way to save it. */
import { useState } from 'preact/hooks';

import type { ProfileView } from '../../api';
import { Button } from '../../components/Button';
import { when } from '../../lib/format';
import { changedLines, lineDiff } from '../../lib/line-diff';
import { missingKey, placeWords, plainWords } from '../../lib/profile-problems';
import { pathOf } from '../../lib/route';
import { go } from '../../state/navigation';
import type { Problem, ProfileDraft } from '../../state/profile-draft';

export function DraftBar({ draft, view, show }: { draft: ProfileDraft; view: ProfileView; show: (pointer: string) => void }) {
  const [diff, setDiff] = useState(false);
  const [saving, setSaving] = useState(false);
  const changes = draft.changes.value;
  const errors = draft.problems.value.filter(({ severity }) => severity === 'error');
  const unread = Object.keys(draft.unread.value);
  const wrong = errors.length + unread.length;
  if (changes === 0 && draft.problems.value.length === 0 && draft.newer.value === null) return null;
  const why = wrong > 0 ? `${wrong === 1 ? 'One thing is' : `${wrong} things are`} wrong: correct that first.`
    : draft.state.value === 'away' ? 'The server cannot be reached to check it.'
      : draft.state.value === 'checking' ? 'It is being checked.' : draft.newer.value !== null ? 'Say first what to do with the newer version.' : undefined;
  const save = async () => {
    const copy = draft.ownId;
    setSaving(true);
    const saved = await draft.save().finally(() => setSaving(false));
    if (saved && copy !== draft.id) go(pathOf('profiles', copy));
  };
  return (
    <section class="panel draft" aria-label="Changes">
      {draft.newer.value !== null && <Newer draft={draft} newer={draft.newer.value} />}
      {changes > 0 && (
        <div class="row spread">
          <p role="status">
            <b>{draft.byText.value ? 'The text is changed' : changes === 1 ? 'One change' : `${changes} changes`}, not saved.</b>
            {' '}<span class="soft">Kept in this browser{draft.fromBefore && ', also from before'}; based on version {draft.base.value.version}.
              {draft.state.value === 'checking' && ' Checking …'}{draft.state.value === 'away' && ' The server cannot be reached; tried again by itself.'}</span>
          </p>
          <div class="row">
            {!draft.byText.value && <Button onClick={() => void draft.undo()}>Take the last one back</Button>}
            <Button expanded={diff} onClick={() => setDiff(!diff)}>What changed</Button>
            <Button onClick={() => draft.drop(view)}>Drop all</Button>
            <Button kind="main" why={why ?? (saving ? 'It is on its way.' : undefined)} onClick={() => void save()}>{draft.ownId === draft.id ? `Save as version ${view.version + 1}` : `Save as a new profile “${draft.ownId}”`}</Button>
          </div>
        </div>
      )}
      {wrong > 0 && <p class="bad">{why}</p>}
      {(draft.problems.value.length > 0 || unread.length > 0) && <Problems draft={draft} show={show} unread={unread} />}
      {diff && <Diff before={draft.base.value.toml} after={draft.text.value} />}
    </section>
  );
}

function Newer({ draft, newer }: { draft: ProfileDraft; newer: ProfileView }) {
  const [failed, setFailed] = useState(false);
  return (
    <div class="newer" role="alert">
      <p><b>It was changed meanwhile:</b> version {newer.version}{newer.saved && `, saved by ${newer.saved.who} ${when(newer.saved.time, new Date())}`}. Your changes are kept.</p>
      {failed && <p class="bad">One of your changes has no place in it any more. Look at what changed, then put yours over it or drop yours.</p>}
      <div class="row">
        {draft.mayCarryOver && <Button kind="main" onClick={() => void draft.carryOver().then((done) => setFailed(!done))}>Put my changes onto it</Button>}
        <Button onClick={() => draft.keepMine()}>Keep mine as it is, in place of theirs</Button>
        <Button onClick={() => draft.drop(newer)}>Drop mine</Button>
      </div>
    </div>
  );
}

function Problems({ draft, show, unread }: { draft: ProfileDraft; show: (pointer: string) => void; unread: readonly string[] }) {
  const tree = draft.tree.value;
  const all: Problem[] = [...draft.problems.value].sort((a, b) => Number(b.severity === 'error') - Number(a.severity === 'error'));
  const warnings = all.filter(({ severity }) => severity !== 'error');
  const Line = ({ problem }: { problem: Problem }) => {
    const pointer = missingKey(problem);
    const { what, todo } = plainWords(problem);
    const error = problem.severity === 'error';
    return (
      <li>
        <b class={error ? 'bad' : 'doubt'}>{error ? 'Wrong' : 'Look at this'}</b>{' '}
        {pointer === '' ? <span>{problem.line !== undefined && `Line ${problem.line}: `}</span> : <button type="button" class="linkish" onClick={() => show(pointer)}>{placeWords(tree, pointer)}</button>}
        {pointer !== '' && ': '}{what} <span class="soft">{todo}</span>
      </li>
    );
  };
  return (
    <>
      {(unread.length > 0 || all.some(({ severity }) => severity === 'error')) && (
        <ul class="problem-list hairlines" aria-label="What is wrong">
          {unread.map((pointer) => (
            <li key={pointer}><b class="bad">Wrong</b> <button type="button" class="linkish" onClick={() => show(pointer)}>{placeWords(tree, pointer)}</button>: {draft.unread.value[pointer]}</li>
          ))}
          {all.filter(({ severity }) => severity === 'error').map((problem, index) => <Line key={index} problem={problem} />)}
        </ul>
      )}
      {warnings.length > 0 && (
        <details>
          <summary class="soft">{warnings.length === 1 ? 'One thing to look at' : `${warnings.length} things to look at`}</summary>
          <ul class="problem-list hairlines">{warnings.map((problem, index) => <Line key={index} problem={problem} />)}</ul>
        </details>
      )}
    </>
  );
}

function Diff({ before, after }: { before: string; after: string }) {
  const lines = changedLines(lineDiff(before, after));
  if (lines.length === 0) return <p class="soft">The text is the same.</p>;
  const kSigns = { same: ' ', out: '−', in: '+' } as const;
  return (
    <div class="diff" tabIndex={0} role="region" aria-label="What changed in the text">
      {lines.map((line, index) => (line === null
        ? <div key={index} class="soft">…</div>
        : <div key={index} class={`diff-${line.kind}`}><span aria-hidden="true">{kSigns[line.kind]} </span><span class="unseen">{line.kind === 'in' ? 'new: ' : line.kind === 'out' ? 'before: ' : ''}</span>{line.text}</div>))}
    </div>
  );
}
