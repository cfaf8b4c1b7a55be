import { type Count, orderedTally } from '../lib/shop';
import { Shape } from './Shape';

/** How many units are in which state. With `onChoose` each state can be pressed to show its units only. */
export function Tally({ tally, chosen, onChoose }: {
  tally: readonly Count[]; chosen?: string | null; onChoose?: (state: string | null) => void;
}) {
  const counts = orderedTally(tally);
  if (counts.length === 0) return <p class="soft">No unit received yet.</p>;
  return (
    <div class="tally">
      {counts.map(({ state, words, count }) => {
        const inside = <><Shape state={state} /><b>{count}</b> {words}</>;
        return onChoose === undefined
          ? <span key={state} class="count">{inside}</span>
          : (
            <button key={state} type="button" class="button slim" aria-pressed={chosen === state}
              onClick={() => onChoose(chosen === state ? null : state)}>{inside}</button>
          );
      })}
    </div>
  );
}
