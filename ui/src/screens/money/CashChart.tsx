import type { MoneyView } from '../../api';
import { exactMoney, minorDigits, when, wholeMoney } from '../../lib/format';
import { scale } from '../../lib/shop';

const kWidth = 600;
const kHeight = 170;
const kFoot = 24;

/** Cash of a lot over time, a step at each payment. */
export function CashChart({ cash, currency }: { cash: MoneyView['lots'][number]['cash']; currency: string }) {
  if (cash.length < 2) return null;
  const times = cash.map(({ time }) => new Date(time).getTime());
  const at = scale(times, kWidth);
  const up = scale([0, ...cash.map(({ minor }) => minor)], kHeight - kFoot);
  const y = (minor: number) => kHeight - kFoot - up(minor);
  const path = cash.map(({ minor }, index) => {
    const x = at(times[index] ?? 0);
    return index === 0 ? `M${x} ${y(0)}V${y(minor)}` : `H${x}V${y(minor)}`;
  }).join('');
  const last = cash[cash.length - 1];
  const lowest = cash.reduce((least, each) => (each.minor < least.minor ? each : least));
  const whole = (minor: number) => wholeMoney(minor / 10 ** minorDigits(currency), currency);
  const now = new Date();
  return (
    <figure>
      <svg class="chart" viewBox={`0 0 ${kWidth} ${kHeight}`} role="img"
        aria-label={`Cash over time: lowest ${whole(lowest.minor)}, now ${exactMoney({ minor: last?.minor ?? 0, currency })}.`}>
        <line class="axis" x1="0" x2={kWidth} y1={y(0)} y2={y(0)} />
        <path class="curve" d={path} />
        <text x="4" y={y(0) - 4}>0</text>
        <text x={at(times[0] ?? 0)} y={kHeight - 6}>{when(cash[0]?.time ?? '', now)}</text>
        <text x={kWidth - 4} y={kHeight - 6} text-anchor="end">{when(last?.time ?? '', now)}</text>
      </svg>
      <figcaption class="small soft">Cash over time; lowest {whole(lowest.minor)}, now {whole(last?.minor ?? 0)}.</figcaption>
    </figure>
  );
}
