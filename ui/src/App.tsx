import type { ComponentChildren } from 'preact';
import { useEffect, useErrorBoundary } from 'preact/hooks';

import { Empty, Failed } from './components/Hush';
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
        : <Kept key={JSON.stringify(now)}>{screen.show(now)}</Kept>}
    </Shell>
  );
}

/** A screen that cannot be drawn says so; the header, the finder and what waits to be stored stay. */
function Kept({ children }: { children: ComponentChildren }) {
  const [error, again] = useErrorBoundary();
  if (error === undefined) return <>{children}</>;
  const said = error instanceof Error ? error : new Error(String(error));
  return <Failed what="screen" error={new Error(`It could not be drawn (${said.message}). What you recorded is safe.`)} again={again} />;
}
