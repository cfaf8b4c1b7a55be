import { useState } from 'preact/hooks';

import { Button } from '../components/Button';
import { Choice, Field } from '../components/Field';
import { change, settings } from '../state/settings';
import { kRoles } from './SettingsStrip';

/** Asked when something is to be recorded and nobody has said who records it. It lies over the lower edge, so that nothing on
 * the screen moves; what is recorded waits for it. */
export function NameStrip({ wanted }: { wanted: { words: string; go: () => void; leave: () => void } }) {
  const [who, setWho] = useState(settings.value.who);
  const [bench, setBench] = useState(settings.value.bench);
  const [problem, setProblem] = useState<string | undefined>();
  return (
    <form class="name-strip stack" aria-label="Who is at this bench?" onSubmit={(event) => {
      event.preventDefault();
      if (who.trim() === '') return setProblem('Type a name; it stands in the diary beside what you record.');
      change({ who: who.trim(), bench: bench.trim() });
      wanted.go();
    }} onKeyDown={(event) => event.key === 'Escape' && wanted.leave()}>
      <p role="status"><b>Who is at this bench?</b> Then this is recorded: {wanted.words}.</p>
      <div class="fields">
        <Field label="Your name" value={who} onInput={setWho} problem={problem} focus />
        <Field label="Bench" value={bench} onInput={setBench} />
        <Choice label="Shows" value={settings.value.role} options={kRoles} onChange={(role) => change({ role })} />
      </div>
      <div class="row"><Button submit kind="main">Record</Button><Button onClick={wanted.leave} keyed="Esc">Do not record it</Button></div>
    </form>
  );
}
