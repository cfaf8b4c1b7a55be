import '../shop.css';

import { useState } from 'preact/hooks';

import { type LotView, type Tray, paths } from '../../api';
import { Button } from '../../components/Button';
import { Expected, ForOwner, Paid } from '../../components/Figures';
import { Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { Tally } from '../../components/Tally';
import { Tape } from '../../components/Tape';
import { minutes, number } from '../../lib/format';
import { useResource } from '../../state/resource';
import { LotDiary } from './LotDiary';
import { LotMoneyTable } from './LotMoneyTable';
import { Receive } from './Receive';

export function Lot({ id }: { id: string }) {
  const { data: view, error, reload } = useResource<LotView>(paths.lot(id)).value;
  const [receiving, setReceiving] = useState(false);
  const [state, setState] = useState<string | null>(null);
  if (view === null) return error ? <Failed what="lot" error={error} again={reload} /> : <Loading what="the lot" />;
  const shown = view.units.filter((unit) => state === null || unit.state.id === state);
  return (
    <div>
      {error && <Stale error={error} again={reload} />}
      <div class="heading row spread">
        <div>
          <h1>{view.lot.name}</h1>
          <p class="soft">{[view.lot.seller && `from ${view.lot.seller}`, `bought ${view.lot.bought_on}`, view.lot.note].filter(Boolean).join(' · ')}</p>
        </div>
        {!receiving && <Button kind="main" onClick={() => setReceiving(true)}>Receive units</Button>}
      </div>
      {receiving && <Receive view={view} close={() => setReceiving(false)} />}
      <div class="lot-columns">
        <div class="stack">
          <Panel title={view.units.length === 1 ? '1 unit' : `${view.units.length} units`}
            aside={<Tally tally={view.tally} chosen={state} onChoose={setState} />}>
            {view.units.length === 0
              ? <p class="soft">Nothing received yet. Receive the units: each gets a number for its strip of tape.</p>
              : <div class="trays">{shown.map((tray) => <TrayCard key={tray.id} tray={tray} currency={view.money.currency} />)}</div>}
          </Panel>
          <LotDiary view={view} />
        </div>
        <div class="stack">
          <ForOwner><Panel title="Money"><LotMoneyTable money={view.money} /></Panel></ForOwner>
          <Lines view={view} />
          <Pareto view={view} />
        </div>
      </div>
    </div>
  );
}

function TrayCard({ tray, currency }: { tray: Tray; currency: string }) {
  const next = tray.next;
  return (
    <div class="tray">
      <Tape number={tray.number} name={tray.name} state={tray.state} />
      <div class="line small">
        <span>
          {next !== null && <>{next.name}, {minutes(next.minutes)}{next.wait_minutes > 0 && ` and ${minutes(next.wait_minutes)} of waiting`}</>}
          {tray.likely != null && <span class="soft"> · {tray.likely}</span>}
        </span>
        <ForOwner>
          {tray.expected !== null && <span class="sum"><span class="soft">expected</span> <Expected value={tray.expected} currency={currency} /></span>}
          {tray.realised != null && <span class="sum"><span class="soft">brought</span> <Paid money={tray.realised} /></span>}
        </ForOwner>
      </div>
    </div>
  );
}

function Lines({ view }: { view: LotView }) {
  return (
    <Panel title="Manifest">
      <div class="table-wide" tabIndex={0} role="region" aria-label="Manifest lines">
        <table class="figures">
          <thead><tr><th scope="col">Model</th><th scope="col" class="num">Declared</th><th scope="col" class="num">Received</th><th scope="col" class="num">Missing</th></tr></thead>
          <tbody>
            {view.lines.map((line) => (
              <tr key={line.id}>
                <td>{[line.model, line.revision].filter(Boolean).join(', ')}{line.profile === null && <span class="doubt"> · no profile yet</span>}</td>
                <td class="num">{line.declared}</td>
                <td class="num">{line.received}</td>
                <td class={line.missing > 0 ? 'right bad' : 'right'}>{line.missing > 0 ? <span class="num">{line.missing}</span>
                  : line.missing < 0 ? <><span class="num">{-line.missing}</span> too many</> : 'none'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </Panel>
  );
}

const kParetoRows = 10;

function Pareto({ view }: { view: LotView }) {
  const rows = view.pareto.filter((row) => row.expected_count > 0.05).slice(0, kParetoRows);
  const most = Math.max(...rows.map((row) => row.expected_count), 1);
  if (rows.length === 0) return null;
  return (
    <Panel title="What is wrong with this lot">
      <div class="stack">
        <ol class="pareto">
          {rows.map((row) => (
            <li key={row.fault}>
              <div class="what"><span>{row.name}</span>
                <span class="right"><span class="num">{number(row.expected_count)}</span>
                  {row.confirmed_count > 0 && <>, <span class="num">{row.confirmed_count}</span> sure</>}</span></div>
              <div class="bar" aria-hidden="true">
                <i style={{ width: `${row.expected_count / most * 100}%` }} />
                <i class="sure" style={{ width: `${Math.min(row.confirmed_count, row.expected_count) / most * 100}%` }} />
              </div>
            </li>
          ))}
        </ol>
        <p class="legend"><span><i style={{ background: 'var(--doubt)' }} />units expected to have it</span>
          <span><i style={{ background: 'var(--bad)' }} />confirmed</span></p>
      </div>
    </Panel>
  );
}
