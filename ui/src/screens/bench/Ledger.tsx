import { Expected } from '../../components/Figures';
import { kOutletNames, kOutlets } from '../../lib/bench';
import { showsMoney } from '../../state/settings';
import { useWork } from './work';

/** The thin line along the bottom: each way to stop and what it is worth now; hands see their rank. */
export function Ledger() {
  const { view, choose } = useWork();
  const { advice } = view;
  if (advice === null || view.unit.closed) return null;
  const offered = kOutlets.filter((outlet) => advice.outlets[outlet] !== null)
    .sort((a, b) => (advice.outlets[b] ?? 0) - (advice.outlets[a] ?? 0));
  const best = offered[0];
  const next = advice.next.kind === 'outlet' ? advice.next.id : null;
  return (
    <aside class="ledger" aria-label="Ways to stop and what each is worth now">
      {kOutlets.map((outlet) => {
        const value = advice.outlets[outlet];
        const mark = outlet === next ? 'take it now' : outlet === best ? 'best if you stop' : '';
        return (
          <button type="button" key={outlet} class={`bare outlet${mark ? ' best' : ''}`} aria-disabled={value === null || undefined}
            onClick={() => value !== null && choose(`outlet/${outlet}`)}>
            <span class="outlet-name">{mark && <i aria-hidden="true">▸</i>}{kOutletNames[outlet]}{mark && <span class="small outlet-mark"> {mark}</span>}</span>
            {value === null ? <span class="small soft">not offered</span>
              : showsMoney() ? <Expected value={value} currency={view.unit.currency} />
                : <span class="mono">{offered.indexOf(outlet) + 1}.</span>}
          </button>
        );
      })}
    </aside>
  );
}
