import { useEffect } from 'preact/hooks';

import { Empty } from './components/Hush';
import { kScreens } from './screens/screens';
import { Shell } from './shell/Shell';
import { route } from './state/navigation';

export function App() {
  const now = route.value;
  const screen = kScreens[now.screen];
  useEffect(() => {
    document.title = `${screen?.title(now) ?? 'Nothing here'} · Lotwright`;
  }, [now, screen]);
  return (
    <Shell>
      {screen === undefined
        ? <Empty title="Nothing stands here"><p>Type a unit’s number and Enter, or choose a screen above.</p></Empty>
        : screen.show(now)}
    </Shell>
  );
}
