import { useEffect, useState } from 'preact/hooks';

import { type ProfileCheck, checkProfile } from '../../api';
import { Button } from '../../components/Button';
import { append } from '../../state/journal';
import { say } from '../../state/notices';

const kPauseMs = 300;

/** A profile's TOML, checked as typed; saved as a new version when nothing is wrong with it. */
export function SaveProfile({ toml, saved, close }: { toml: string; saved: (id: string) => void; close: () => void }) {
  const [text, setText] = useState(toml);
  const [found, setFound] = useState<{ text: string; check: ProfileCheck } | null>(null);
  const [failed, setFailed] = useState<string | null>(null);

  useEffect(() => {
    if (text.trim() === '') return setFound(null);
    let gone = false;
    const timer = setTimeout(() => {
      checkProfile(text).then(
        (check) => gone || (setFound({ text, check }), setFailed(null)),
        (error: unknown) => gone || setFailed(error instanceof Error ? error.message : String(error)));
    }, kPauseMs);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [text]);

  const check = found !== null && found.text === text ? found.check : null;
  const save = async () => {
    const id = check?.id;
    if (check === null || !check.ok || id === undefined) return;
    const words = `profile “${check.name ?? id}” saved`;
    if ((await append([{ subject: { kind: 'profile', id }, kind: 'profile-saved', body: { toml: text } }], words)) === null) return;
    say({ tone: 'good', text: `Recorded: ${words}.` });
    saved(id);
  };
  const choose = async (file: File | undefined) => {
    if (file !== undefined) setText(await file.text());
  };

  return (
    <form class="panel stack" aria-label="Save a profile" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <h2>A profile’s text</h2>
      <div class="field">
        <label for="profile-file">From a file</label>
        <input id="profile-file" type="file" accept=".toml,text/plain" onChange={(event) => void choose(event.currentTarget.files?.[0])} />
      </div>
      <div class="field">
        <label for="profile-toml">TOML, as described in docs/profile-format.md</label>
        <textarea id="profile-toml" class="toml" spellcheck={false} value={text} onInput={(event) => setText(event.currentTarget.value)} />
      </div>
      <div role="status">
        {failed !== null && <p class="bad">{failed}</p>}
        {check?.ok === true && check.problems.length === 0 && <p class="good">Nothing is wrong with it.</p>}
        {check !== null && check.problems.length > 0 && (
          <ul class="problem-list hairlines">
            {check.problems.map((problem, index) => (
              <li key={index}>
                <b class={problem.severity === 'error' ? 'bad' : 'doubt'}>{problem.severity === 'error' ? 'Wrong' : 'Look at this'}</b>
                {problem.line !== undefined && <span class="mono"> line {problem.line}{problem.column !== undefined && `:${problem.column}`}</span>}
                {' '}{problem.what}{problem.advice && <span class="soft">: {problem.advice}</span>}
              </li>
            ))}
          </ul>
        )}
      </div>
      <div class="row">
        <Button submit kind="main" why={check?.ok === true ? undefined : 'It can be saved when nothing is wrong with it.'}>Save it</Button>
        <Button onClick={close}>Not now</Button>
      </div>
    </form>
  );
}
