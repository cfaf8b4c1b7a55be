import '../shop.css';

import { useEffect, useState } from 'preact/hooks';

import { type NowView, paths } from '../../api';
import { ForOwner } from '../../components/Figures';
import { Empty, Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { Tape } from '../../components/Tape';
import { reasonText } from '../../lib/bench';
import { fromNow, minutes, when, wholeMoney } from '../../lib/format';
import { pathOf } from '../../lib/route';
import { dueShare } from '../../lib/shop';
import { useKeys } from '../../state/keyboard';
import { openUnit } from '../../state/navigation';
import { useResource } from '../../state/resource';
import { showsMoney } from '../../state/settings';

const kTickMs = 30_000;

export function Now() {
  const { data: view, error, reload } = useResource<NowView>(paths.now).value;
  const first = view?.rows[0];
  useKeys(first === undefined ? {} : { enter: () => openUnit(first.number) });
  if (view === null) return error ? <Failed what="work" error={error} again={reload} /> : <Loading what="what comes next" />;
  return (
    <div>
      {error && <Stale error={error} again={reload} />}
      {view.rows.length + view.waiting.length === 0
        ? <Empty title="Nothing is open"><p>Every unit is sold, given up or held aside. <a href="/lots">Buy a lot</a>, or receive the units of one.</p></Empty>
        : (
          <div class="stack">
            <div class="heading"><h1>Now</h1><p class="soft">What gains most per hour at the bench stands first.</p></div>
            <ol class="now-list">{view.rows.map((row, index) => <Row key={row.unit} row={row} rank={index + 1} />)}</ol>
            {view.waiting.length > 0 && <Waits waiting={view.waiting} />}
            <details class="soft small"><summary>How this order is made</summary><p>{view.index}</p></details>
          </div>
        )}
    </div>
  );
}

function Row({ row, rank }: { row: NowView['rows'][number]; rank: number }) {
  return (
    <li class={rank === 1 ? 'now-row first' : 'now-row'}>
      <span class="rank">{rank}</span>
      <Tape number={row.number} name={row.name} state={row.state} />
      <div class="what">
        <a class="step" href={pathOf('units', row.number)}>{row.next.name}</a>
        <p class={rank === 1 ? '' : 'small soft'}>{reasonText(row, showsMoney(), rank === 1)}</p>
      </div>
      <div class="figures-right">
        <span class="num">{minutes(row.next.minutes)}</span>
        {row.next.wait_minutes > 0 && <span class="right soft small">then <span class="num">{minutes(row.next.wait_minutes)}</span> of waiting</span>}
        <ForOwner>
          {row.gain_per_hour !== null && row.gain > 0 && <GainPerHour row={row} />}
        </ForOwner>
      </div>
    </li>
  );
}

function GainPerHour({ row }: { row: NowView['rows'][number] }) {
  return <span class="right small"><span class="money">{wholeMoney(row.gain_per_hour ?? 0, row.currency)}</span> an hour</span>;
}

function Waits({ waiting }: { waiting: NowView['waiting'] }) {
  const [now, setNow] = useState(() => new Date());
  useEffect(() => {
    const timer = setInterval(() => setNow(new Date()), kTickMs);
    return () => clearInterval(timer);
  }, []);
  return (
    <Panel title="What waits">
      <ul class="waits">
        {waiting.map((wait) => {
          const due = new Date(wait.due).getTime() <= now.getTime();
          return (
            <li key={wait.unit} class={due ? 'wait due' : 'wait'}>
              <div class="row spread">
                <a href={pathOf('units', wait.number)}>{wait.number} · {wait.what}</a>
                <span>{due ? <b class="good">due since {when(wait.due, now)}</b> : `due ${when(wait.due, now)}, ${fromNow(wait.due, now)}`}</span>
              </div>
              <div class="bar" aria-hidden="true">
                <i style={{ width: `${dueShare(new Date(wait.since).getTime(), new Date(wait.due).getTime(), now.getTime()) * 100}%` }} />
              </div>
            </li>
          );
        })}
      </ul>
    </Panel>
  );
}
