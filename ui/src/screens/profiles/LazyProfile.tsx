/** The profile's screen, whose forms are a good part of the client's code and are loaded when one is opened. Its style is in the client's own. */
import '../shop.css';
import './profiles.css';

import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';

import { Failed, Loading } from '../../components/Hush';
import { ApiError } from '../../lib/problem';

type Screen = ComponentType<{ id: string }>;
let loaded: Screen | null = null;

export function LazyProfile({ id }: { id: string }) {
  const [screen, setScreen] = useState<{ show: Screen } | null>(loaded === null ? null : { show: loaded });
  const [failed, setFailed] = useState(false);
  const load = () => {
    setFailed(false);
    import('./Profile').then(({ Profile }) => {
      loaded = Profile;
      setScreen({ show: Profile });
    }, () => setFailed(true));
  };
  useEffect(() => {
    if (screen === null) load();
  }, []);
  if (screen !== null) return <screen.show id={id} />;
  return failed ? <Failed what="profile" error={new ApiError(0, {})} again={load} /> : <Loading what="the profile" />;
}
