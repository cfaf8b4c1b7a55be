import type { LotView } from '../../api';
import { Expected, ForOwner, Paid } from '../../components/Figures';
import { minutes } from '../../lib/format';

/** The few figures that a lot is judged by, above everything else. */
export function LotFigures({ view }: { view: LotView }) {
  const { money } = view;
  const received = view.units.length;
  const declared = view.lines.reduce((sum, line) => sum + line.declared, 0);
  return (
    <dl class="lot-figures">
      <div><dt>Received</dt><dd><span class="num">{received}</span> of <span class="num">{declared}</span></dd></div>
      <div><dt>Open</dt><dd><span class="num">{money.units_open}</span></dd></div>
      <div><dt>At the bench</dt><dd class="num">{minutes(money.bench_minutes)}</dd></div>
      <ForOwner>
        <div><dt>Certain so far</dt><dd><Paid money={money.realised} /></dd></div>
        <div><dt>Expected in the end</dt>
          <dd><Expected value={money.expected_result} currency={money.currency} low={money.expected_low} high={money.expected_high} /></dd></div>
      </ForOwner>
    </dl>
  );
}
