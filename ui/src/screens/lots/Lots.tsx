import '../shop.css';

import { useState } from 'preact/hooks';

import { type LotList, paths } from '../../api';
import { Button } from '../../components/Button';
import { Expected, ForOwner, Paid } from '../../components/Figures';
import { Empty, Failed, Loading, Stale } from '../../components/Hush';
import { Tally } from '../../components/Tally';
import { pathOf } from '../../lib/route';
import { useResource } from '../../state/resource';
import { BuyLot } from './BuyLot';

export function Lots() {
  const { data: view, error, reload } = useResource<LotList>(paths.lots).value;
  const [buying, setBuying] = useState(false);
  if (view === null) return error ? <Failed what="lots" error={error} again={reload} /> : <Loading what="the lots" />;
  const buy = <Button kind="main" onClick={() => setBuying(true)}>Buy a lot</Button>;
  return (
    <div>
      {error && <Stale error={error} again={reload} />}
      {buying && <BuyLot close={() => setBuying(false)} />}
      {view.lots.length === 0 && !buying && (
        <Empty title="No lot yet">
          <p>A lot is one purchase of several broken units. Enter what you paid and what the seller declared; then receive and number the units.</p>
          {buy}
        </Empty>
      )}
      {view.lots.length > 0 && (
        <>
          <div class="heading row spread"><h1>Lots</h1>{!buying && buy}</div>
          <div class="lots-list">{view.lots.map((lot) => <LotRow key={lot.id} lot={lot} />)}</div>
        </>
      )}
    </div>
  );
}

function LotRow({ lot }: { lot: LotList['lots'][number] }) {
  return (
    <article class="panel lot-row">
      <div class="stack">
        <div>
          <a class="lot-name" href={pathOf('lots', lot.id)}>{lot.name}</a>
          <p class="soft">{[lot.models.join(', '), lot.seller && `from ${lot.seller}`, `bought ${lot.bought_on}`].filter(Boolean).join(' · ')}</p>
        </div>
        <Tally tally={lot.tally} />
        <p class="soft">{lot.received} of {lot.declared} declared received
          {lot.received < lot.declared && <b class="bad"> · {lot.declared - lot.received} missing</b>}</p>
      </div>
      <ForOwner>
          <table class="sums">
            <tbody>
              <tr><th scope="row">Paid</th><td class="money"><Paid money={lot.money.paid} /></td></tr>
              <tr><th scope="row">Certain so far</th><td class="money"><Paid money={lot.money.realised} /></td></tr>
              <tr class="total"><th scope="row">Expected in the end</th>
                <td><Expected value={lot.money.expected_result} currency={lot.money.currency} low={lot.money.expected_low} high={lot.money.expected_high} /></td></tr>
            </tbody>
          </table>
      </ForOwner>
    </article>
  );
}
