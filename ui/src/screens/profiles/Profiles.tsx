import '../shop.css';
import './profiles.css';

import { useState } from 'preact/hooks';

import { type ProfileList, type ShippedProfiles, paths } from '../../api';
import { Button } from '../../components/Button';
import { Empty, Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { pathOf } from '../../lib/route';
import { append } from '../../state/journal';
import { go } from '../../state/navigation';
import { useResource } from '../../state/resource';
import { NewProfile } from './NewProfile';
import { SaveProfile } from './SaveProfile';

export function Profiles() {
  const { data: view, error, reload } = useResource<ProfileList>(paths.profiles).value;
  const shipped = useResource<ShippedProfiles>(paths.shippedProfiles).value.data?.profiles ?? [];
  const [adding, setAdding] = useState<'text' | 'new' | null>(null);
  if (view === null) return error ? <Failed what="profiles" error={error} again={reload} /> : <Loading what="the profiles" />;
  const more = shipped.filter(({ id }) => !view.profiles.some((profile) => profile.id === id));
  const taken = view.profiles.map(({ id }) => id);
  const close = () => setAdding(null);
  return (
    <div class="stack">
      {error && <Stale error={error} again={reload} />}
      {view.profiles.length === 0 && adding === null
        ? <Empty title="No device profile yet"><p>A profile says what is known of one model: its faults, checks and repairs, and what they cost. Take in one that is shipped, or begin your own.</p></Empty>
        : <div class="heading"><h1>Profiles</h1><p class="soft">What is known of each model.</p></div>}
      {adding === 'text' && <SaveProfile toml="" saved={(id) => go(pathOf('profiles', id))} close={close} />}
      {adding === 'new' && <NewProfile taken={taken} saved={(id) => go(pathOf('profiles', id))} close={close} />}
      {adding === null && (
        <div class="row">
          <Button onClick={() => setAdding('new')}>Begin a profile</Button>
          <Button onClick={() => setAdding('text')}>Add a profile from its text</Button>
        </div>
      )}
      {view.profiles.map((profile) => (
        <Panel key={profile.id} title={profile.name} href={pathOf('profiles', profile.id)}
          aside={<span class="soft small">version {profile.version} · {{ invented: 'numbers invented', memory: 'numbers from memory' }[profile.numbers_from] ?? 'numbers authored here'}</span>}>
          <p class="soft">{profile.faults} faults · {profile.checks} checks · {profile.repairs} repairs · {profile.units} {profile.units === 1 ? 'unit' : 'units'} · {profile.currency}</p>
        </Panel>
      ))}
      {more.length > 0 && (
        <Panel title="Shipped with the tool">
          {more.map((profile) => (
            <div key={profile.id} class="row spread">
              <span><b>{profile.name}</b> <span class="soft">an invented model, to start from</span></span>
              <Button label={`Take it in: ${profile.name}`} onClick={() => void append([{
                subject: { kind: 'profile', id: profile.id }, kind: 'profile-saved', body: { toml: profile.toml },
              }], `profile “${profile.name}” saved`)}>Take it in</Button>
            </div>
          ))}
        </Panel>
      )}
    </div>
  );
}
