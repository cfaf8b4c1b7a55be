import '../shop.css';
import './now.css';

import { useRef, useState } from 'preact/hooks';

import { type NowView, paths } from '../../api';
import { Button } from '../../components/Button';
import { Empty, Failed, Loading, Stale } from '../../components/Hush';
import { useKeys } from '../../state/keyboard';
import { openUnit } from '../../state/navigation';
import { useResource } from '../../state/resource';
import { useAgain } from '../again';
import { Row } from './Row';
import { Waits } from './Waits';
import { WithoutAdvice } from './WithoutAdvice';

/** Rows read at once: a shop of thousands of units stays quick, and nobody works on the hundredth next. */
const kRows = 25;

export function Now() {
  const [rows, setRows] = useState(kRows);
  const { data, error, reload } = useResource<NowView>(paths.now(rows)).value;
  // While more rows are on their way, those that stand here stay.
  const last = useRef<NowView | null>(null);
  last.current = data ?? last.current;
  const view = last.current;
  const first = view?.rows[0];
  useKeys(first === undefined ? {} : { enter: () => openUnit(first.number) });
  useAgain((view?.pending ?? 0) > 0, reload);
  if (view === null) return error ? <Failed what="work" error={error} again={reload} /> : <Loading what="what comes next" />;
  const stuck = view.without_advice ?? [];
  const nothing = view.rows.length + view.waiting.length + view.pending + stuck.length === 0;
  if (nothing) {
    return <Empty title="Nothing is open"><p>Every unit is sold, given up or held aside. <a href="/lots">Buy a lot</a>, or receive the units of one.</p></Empty>;
  }
  const beside = view.waiting.length + stuck.length > 0;
  return (
    <div>
      {error && <Stale error={error} again={reload} />}
      <div class="heading"><h1>Now</h1><p class="soft">What gains most per hour at the bench stands first.</p></div>
      {view.pending > 0 && <Progress ranked={view.ranked} pending={view.pending} />}
      <div class={beside ? 'now-columns' : ''}>
        <div class="stack">
          {view.rows.length === 0 && view.pending === 0 && <p class="panel">Nothing can be worked on at this moment.</p>}
          <ol class="now-list">{view.rows.map((row, index) => <Row key={row.unit} row={row} rank={index + 1} />)}</ol>
          {view.all_rows > view.rows.length && (
            <div class="row"><Button onClick={() => setRows(rows + kRows)}>Show more</Button>
              <span class="soft">{view.rows.length} of {view.all_rows} steps for {view.ranked} units that can be worked on</span></div>
          )}
          <details class="soft small"><summary>How this order is made</summary><p>{view.index}</p></details>
        </div>
        {beside && (
          <div class="stack">
            {view.waiting.length > 0 && <Waits waiting={view.waiting} />}
            {stuck.length > 0 && <WithoutAdvice units={stuck} />}
          </div>
        )}
      </div>
    </div>
  );
}

/** The order is made from what is known; the rest joins it by itself. */
function Progress({ ranked, pending }: { ranked: number; pending: number }) {
  const all = ranked + pending;
  return (
    <div class="progress" role="status">
      <span>{pending === 1 ? 'One unit is' : `${pending} of ${all} units are`} still being worked out; {pending === 1 ? 'it joins' : 'they join'} the order by {pending === 1 ? 'itself' : 'themselves'}.</span>
      <div class="bar" aria-hidden="true"><i style={{ width: `${ranked / all * 100}%` }} /></div>
    </div>
  );
}
