import '../shop.css';

import { useState } from 'preact/hooks';

import { type MoneyView, paths } from '../../api';
import { Expected, Paid } from '../../components/Figures';
import { Empty, Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { Shape } from '../../components/Shape';
import { minutes } from '../../lib/format';
import { pathOf } from '../../lib/route';
import { useResource } from '../../state/resource';
import { showsMoney } from '../../state/settings';
import { LotMoneyTable } from '../lots/LotMoneyTable';
import { CashChart } from './CashChart';
import { ResultChart } from './ResultChart';

export function Money() {
  const { data: view, error, reload } = useResource<MoneyView>(paths.money).value;
  if (!showsMoney()) return <Empty title="Money is shown to owners"><p>This window shows minutes only. The switch is under the name at the top.</p></Empty>;
  if (view === null) return error ? <Failed what="accounts" error={error} again={reload} /> : <Loading what="the accounts" />;
  if (view.lots.length === 0) return <Empty title="No money has moved yet"><p>It starts with the first lot. <a href="/lots">Buy a lot.</a></p></Empty>;
  return (
    <div class="stack">
      {error && <Stale error={error} again={reload} />}
      <div class="heading"><h1>Money</h1>
        <p class="soft">What is certain is exact; what is expected comes from the belief of each open unit, its further minutes priced at the bench rate.</p></div>
      {view.lots.map((lot) => <LotAccounts key={lot.id} lot={lot} />)}
    </div>
  );
}

function LotAccounts({ lot }: { lot: MoneyView['lots'][number] }) {
  // Drawn when it is opened: a lot may have hundreds of units.
  const [open, setOpen] = useState(false);
  return (
    <Panel title={lot.name} aside={<a href={pathOf('lots', lot.id)}>the lot</a>}>
      <div class="lot-columns">
        <div class="stack">
          <h3>What the lot will have made</h3>
          <ResultChart quantiles={lot.distribution ?? []} mean={lot.money.expected_result} currency={lot.money.currency} loss={lot.loss} />
          <CashChart cash={lot.cash} currency={lot.money.currency} />
        </div>
        <LotMoneyTable money={lot.money} />
      </div>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>Unit by unit</summary>
        {open && <Units lot={lot} />}
      </details>
    </Panel>
  );
}

function Units({ lot }: { lot: MoneyView['lots'][number] }) {
  return (
    <div class="table-wide" tabIndex={0} role="region" aria-label={`Units of ${lot.name}`}>
      <table class="figures stacks" role="table">
        <thead>
          <tr><th scope="col">Unit</th><th scope="col">State</th><th scope="col" class="num">Share of the lot</th><th scope="col" class="num">Parts</th>
            <th scope="col" class="num">Sales</th><th scope="col" class="num">Made</th><th scope="col" class="num">Expected</th><th scope="col" class="num">Bench</th></tr>
        </thead>
        <tbody>
          {lot.units.map(({ id, number, state, money }) => (
            <tr key={id} role="row">
              <td role="cell" data-label="Unit"><a href={pathOf('units', number)}>{number}</a></td>
              <td role="cell" data-label="State"><span class="row"><Shape state={state.id} />{state.words}</span></td>
              <td role="cell" data-label="Share of the lot" class="num"><Paid money={money.cost_share} /></td>
              <td role="cell" data-label="Parts" class="num"><Paid money={money.parts} /></td>
              <td role="cell" data-label="Sales" class="num"><Paid money={money.income} /></td>
              <td role="cell" data-label="Made" class="num"><Paid money={money.realised} /></td>
              <td role="cell" data-label="Expected" class="num">{money.expected === null ? '–' : <Expected value={money.expected} currency={money.currency} />}</td>
              <td role="cell" data-label="Bench" class="num">{minutes(money.minutes)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
