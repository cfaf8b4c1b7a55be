import { useMemo } from 'preact/hooks';

import { wholeMoney } from '../../lib/format';
import { type Quantile, bins, scale } from '../../lib/shop';

const kWidth = 600;
const kHeight = 150;
const kFoot = 34;
const kBins = 36;

/** The expected result of a lot as a distribution with break-even marked; loss and gain also told in words. */
export function ResultChart({ quantiles, mean, currency, loss }: { quantiles: readonly Quantile[]; mean: number; currency: string; loss: string }) {
  const drawn = useMemo(() => {
    const steps = bins(quantiles, kBins);
    const ends = quantiles.map(({ value }) => value);
    const at = scale([...ends, 0, mean], kWidth);
    const most = Math.max(...steps.map(({ chance }) => chance), Number.MIN_VALUE);
    return { steps, at, most, low: Math.min(...ends), high: Math.max(...ends) };
  }, [quantiles, mean]);
  if (drawn.steps.length === 0) return <p class="soft">Nothing is open: the result is certain.</p>;
  const floor = kHeight - kFoot;
  const { at } = drawn;
  return (
    <figure class="stack">
      <svg class="chart" viewBox={`0 0 ${kWidth} ${kHeight}`} role="img"
        aria-label={`Expected result from ${wholeMoney(drawn.low, currency)} to ${wholeMoney(drawn.high, currency)}, most likely near ${wholeMoney(mean, currency)}.`}>
        {drawn.steps.map((step) => {
          const height = step.chance / drawn.most * (floor - 18);
          return <rect key={step.from} class={step.from < -1e-9 ? 'loss' : 'win'} x={at(step.from)} width={Math.max(0.5, at(step.to) - at(step.from) - 1)}
            y={floor - height} height={height} />;
        })}
        <line class="axis" x1="0" x2={kWidth} y1={floor} y2={floor} />
        <line class="even" x1={at(0)} x2={at(0)} y1="12" y2={floor + 6} />
        <line class="mean" x1={at(mean)} x2={at(mean)} y1={floor - 4} y2={floor + 6} />
        <text x={at(0)} y="10" text-anchor={anchor(at(0))}>break-even</text>
        <text x={at(mean)} y={floor + 22} text-anchor={anchor(at(mean))}>expected {wholeMoney(mean, currency)}</text>
      </svg>
      <figcaption>A loss: <b>{loss}</b>. Left of break-even is loss, right of it gain.</figcaption>
    </figure>
  );
}

function anchor(x: number): 'start' | 'middle' | 'end' {
  return x < kWidth * 0.15 ? 'start' : x > kWidth * 0.85 ? 'end' : 'middle';
}
