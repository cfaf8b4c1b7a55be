import '../shop.css';
import './lots.css';

import { useState } from 'preact/hooks';

import { type LotView, paths } from '../../api';
import { Button } from '../../components/Button';
import { ForOwner } from '../../components/Figures';
import { Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { useKeys } from '../../state/keyboard';
import { useResource } from '../../state/resource';
import { useAgain } from '../again';
import { LotDiary } from './LotDiary';
import { LotFigures } from './LotFigures';
import { LotMoneyTable } from './LotMoneyTable';
import { Manifest } from './Manifest';
import { Pareto } from './Pareto';
import { ResultRange } from './ResultRange';
import { Trays } from './Trays';
import { Receive } from './receive/Receive';

type Receiving = 'number' | 'go-through' | null;

export function Lot({ id }: { id: string }) {
  const { data: view, error, reload } = useResource<LotView>(paths.lot(id)).value;
  const [receiving, setReceiving] = useState<Receiving>(null);
  useKeys({ letter: (letter) => letter === 'r' && receiving === null && setReceiving('number') });
  useAgain((view?.pending ?? 0) > 0, reload);
  if (view === null) return error ? <Failed what="lot" error={error} again={reload} /> : <Loading what="the lot" />;
  const unnamed = view.units.filter((unit) => unit.state.id === 'incoming' && unit.serial === '').length;
  const buttons = receiving === null && (
    <div class="row">
      <Button kind="main" keyed="r" onClick={() => setReceiving('number')}>Receive units</Button>
      {unnamed > 0 && <Button onClick={() => setReceiving('go-through')}>{unnamed} without a serial</Button>}
    </div>
  );
  const money = view.money.units_pending;
  return (
    <div class="lot">
      {error && <Stale error={error} again={reload} />}
      <div class="heading row spread">
        <div>
          <h1>{view.lot.name}</h1>
          <p class="soft">{[view.lot.seller && `from ${view.lot.seller}`, `bought ${view.lot.bought_on}`, view.lot.note].filter(Boolean).join(' · ')}</p>
        </div>
        {buttons}
      </div>
      {receiving !== null && <Receive key={receiving} view={view} again={receiving === 'go-through'} close={() => setReceiving(null)} />}
      <LotFigures view={view} />
      <div class="lot-columns">
        <div class="stack">
          <Trays view={view} />
        </div>
        <div class="stack">
          <ForOwner>
            <Panel title="Money" aside={money > 0 && <span class="small soft" role="status">{money} units not counted yet</span>}>
              <ResultRange money={view.money} />
              <LotMoneyTable money={view.money} />
            </Panel>
          </ForOwner>
          <Manifest view={view} />
          <Pareto view={view} />
          <LotDiary view={view} />
        </div>
      </div>
    </div>
  );
}
