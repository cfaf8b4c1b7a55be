import type { LotView } from '../../api';
import { Panel } from '../../components/Panel';
import { number } from '../../lib/format';

const kRows = 10;
/** Fewer expected units than this say nothing of the lot. */
const kLeast = 0.05;

/** What is wrong with the lot's units, the commonest first: expected and confirmed. */
export function Pareto({ view }: { view: LotView }) {
  const rows = view.pareto.filter((row) => row.expected_count > kLeast).slice(0, kRows);
  const most = Math.max(...rows.map((row) => row.expected_count), 1);
  const counted = view.units.length - view.pending;
  if (rows.length === 0) return null;
  return (
    <Panel title="What is wrong with this lot">
      <div class="stack">
        <ol class="pareto">
          {rows.map((row) => (
            <li key={`${row.profile}/${row.fault}`}>
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
        <p class="legend"><span><i style={{ background: 'var(--doubt)' }} />units expected to have or have had it</span>
          <span><i style={{ background: 'var(--bad)' }} />confirmed</span></p>
        {view.pending > 0 && <p class="soft small">Counted over {counted} of {view.units.length} units; the others are being worked out.</p>}
      </div>
    </Panel>
  );
}
