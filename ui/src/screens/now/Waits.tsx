import { useEffect, useState } from 'preact/hooks';

import type { NowView } from '../../api';
import { Button } from '../../components/Button';
import { Panel } from '../../components/Panel';
import { Shape } from '../../components/Shape';
import { fromNow, when } from '../../lib/format';
import { pathOf } from '../../lib/route';
import { dueShare } from '../../lib/shop';

const kTickMs = 30_000;
const kFirst = 12;

/** What waits, the next due first; what is due stands out by word and colour. */
export function Waits({ waiting }: { waiting: NowView['waiting'] }) {
  const [now, setNow] = useState(() => new Date());
  const [all, setAll] = useState(false);
  useEffect(() => {
    const timer = setInterval(() => setNow(new Date()), kTickMs);
    return () => clearInterval(timer);
  }, []);
  const shown = all ? waiting : waiting.slice(0, kFirst);
  const due = waiting.filter((wait) => new Date(wait.due).getTime() <= now.getTime()).length;
  return (
    <Panel title="What waits" aside={due > 0 && <b class="good small">{due} due</b>}>
      <ul class="waits">
        {shown.map((wait) => {
          const isDue = new Date(wait.due).getTime() <= now.getTime();
          return (
            <li key={wait.unit} class={isDue ? 'wait due' : 'wait'}>
              <a class="wait-line" href={pathOf('units', wait.number)}>
                <Shape state="waiting" /><b class="mono">{wait.number}</b><span>{wait.what}</span>
              </a>
              <span class="small">{isDue ? <b class="good">due since {when(wait.due, now)}</b> : `due ${when(wait.due, now)}, ${fromNow(wait.due, now)}`}</span>
              <div class="bar" aria-hidden="true">
                <i style={{ width: `${dueShare(new Date(wait.since).getTime(), new Date(wait.due).getTime(), now.getTime()) * 100}%` }} />
              </div>
            </li>
          );
        })}
      </ul>
      {waiting.length > shown.length && <div class="row more"><Button slim onClick={() => setAll(true)}>Show all {waiting.length}</Button></div>}
    </Panel>
  );
}
