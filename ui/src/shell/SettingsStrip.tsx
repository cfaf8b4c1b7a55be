import { Button } from '../components/Button';
import { Choice, Field, Tick } from '../components/Field';
import { change, settings } from '../state/settings';
import { KeySettings } from './KeySettings';

export const kRoles = [['owner', 'Owner: money'], ['hand', 'Hand: minutes']] as const;
const kThemes = [['system', 'As the device'], ['light', 'Light'], ['dark', 'Dark']] as const;

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
      </div>
      <KeySettings />
      <div class="row"><Button onClick={close}>Done</Button></div>
    </section>
  );
}
