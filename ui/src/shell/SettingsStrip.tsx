import { useState } from 'preact/hooks';

import { Button } from '../components/Button';
import { Choice, Field, Tick } from '../components/Field';
import { change, settings } from '../state/settings';

const kRoles = [['owner', 'Owner: with money'], ['hand', 'Bench hand: minutes only']] as const;
const kThemes = [['system', 'As the device'], ['light', 'Light'], ['dark', 'Dark']] as const;

/** Asked when something is to be recorded and nobody has said who records it. */
export function NameStrip({ wanted }: { wanted: { words: string; go: () => void } }) {
  const [who, setWho] = useState(settings.value.who);
  const [bench, setBench] = useState(settings.value.bench);
  const [problem, setProblem] = useState<string | undefined>();
  return (
    <form class="strip stack" onSubmit={(event) => {
      event.preventDefault();
      if (who.trim() === '') return setProblem('Type a name; it stands in the diary beside what you record.');
      change({ who: who.trim(), bench: bench.trim() });
      wanted.go();
    }}>
      <p><b>Who is at this bench?</b> Then this is recorded: {wanted.words}.</p>
      <div class="fields">
        <Field label="Your name" value={who} onInput={setWho} problem={problem} focus />
        <Field label="Bench" value={bench} onInput={setBench} />
        <Choice label="Shows" value={settings.value.role} options={kRoles} onChange={(role) => change({ role })} />
      </div>
      <div class="row"><Button submit kind="main">Record</Button></div>
    </form>
  );
}

export function SettingsStrip({ close }: { close: () => void }) {
  const now = settings.value;
  return (
    <section class="strip stack" aria-label="Person, bench and screen">
      <div class="fields">
        <Field label="Your name" value={now.who} onInput={(who) => change({ who })} />
        <Field label="Bench" value={now.bench} onInput={(bench) => change({ bench })} />
        <Choice label="Shows" value={now.role} options={kRoles} onChange={(role) => change({ role })} />
        <Choice label="Light" value={now.theme} options={kThemes} onChange={(theme) => change({ theme })} />
      </div>
      <div class="row">
        <Tick label="Say aloud what was recorded" checked={now.speak} onChange={(speak) => change({ speak })} />
        <Tick label="Trained for mains and other marked steps" checked={now.trained} onChange={(trained) => change({ trained })} />
        <Button onClick={close}>Done</Button>
      </div>
    </section>
  );
}
