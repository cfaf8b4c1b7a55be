import type { LotView } from '../../api';
import { wholeMoney } from '../../lib/format';
import { scale } from '../../lib/shop';

const kWidth = 360;
const kHeight = 66;
const kLine = 30;

/** Money so far and where it is expected to end, on one line with break-even: a picture of the sums below it. */
export function ResultRange({ money }: { money: LotView['money'] }) {
  const so = money.realised.minor / 100;
  const ends = [so, 0, money.expected_low, money.expected_high, money.expected_result];
  const at = scale(ends, kWidth);
  const words = `So far ${wholeMoney(so, money.currency)}; expected in the end ${wholeMoney(money.expected_result, money.currency)}, from ${
    wholeMoney(money.expected_low, money.currency)} to ${wholeMoney(money.expected_high, money.currency)}, eight times in ten.`;
  const near = Math.abs(at(so) - at(money.expected_result)) < 90;
  return (
    <figure>
      <svg class="chart" viewBox={`0 0 ${kWidth} ${kHeight}`} role="img" aria-label={words}>
        <line class="axis" x1="0" x2={kWidth} y1={kLine} y2={kLine} />
        <line class="even" x1={at(0)} x2={at(0)} y1={kLine - 14} y2={kLine + 14} />
        <rect class={money.expected_low >= 0 ? 'win' : money.expected_high < 0 ? 'loss' : 'range'} x={at(money.expected_low)} y={kLine - 7} height="14"
          width={Math.max(2, at(money.expected_high) - at(money.expected_low))} />
        <line class="mean" x1={at(money.expected_result)} x2={at(money.expected_result)} y1={kLine - 11} y2={kLine + 11} />
        <circle class="so-far" cx={at(so)} cy={kLine} r="5" />
        {!near && <text x={at(so)} y="12" text-anchor={anchor(at(so))}>so far</text>}
        <text x={at(money.expected_result)} y={near ? 12 : 12} text-anchor={anchor(at(money.expected_result))}>expected</text>
        <text x={at(0)} y={kHeight - 6} text-anchor={anchor(at(0))}>break-even</text>
      </svg>
    </figure>
  );
}

const anchor = (x: number) => (x < kWidth * 0.15 ? 'start' : x > kWidth * 0.85 ? 'end' : 'middle');
