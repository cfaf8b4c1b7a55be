import type { NowView } from '../../api';
import { ForOwner } from '../../components/Figures';
import { Tape } from '../../components/Tape';
import { reasonText } from '../../lib/bench';
import { minutes, wholeMoney } from '../../lib/format';
import { pathOf } from '../../lib/route';
import { showsMoney } from '../../state/settings';

/** A unit's next step with its reason; the first one stands out, as it is what to do. */
export function Row({ row, rank }: { row: NowView['rows'][number]; rank: number }) {
  const gains = row.gain_per_hour !== null && row.gain > 0;
  return (
    <li class={rank === 1 ? 'now-row first' : 'now-row'}>
      <span class="rank">{rank}</span>
      <Tape number={row.number} name={row.name} state={row.state} />
      <div class="what">
        <a class="step" href={pathOf('units', row.number)}>{row.next.name}</a>
        {row.same.length > 0 && <Same units={row.same} />}
        <p class={rank === 1 ? '' : 'small soft'}>{reasonText(row, showsMoney(), rank === 1)}</p>
      </div>
      <div class="figures-right">
        <span class="num">{minutes(row.next.minutes)}</span>
        {row.next.wait_minutes > 0 && <span class="right soft small">then <span class="num">{minutes(row.next.wait_minutes)}</span> of waiting</span>}
        {gains && (
          <ForOwner>
            <span class="right small"><span class="money">{wholeMoney(row.gain_per_hour ?? 0, row.currency)}</span> an hour</span>
          </ForOwner>
        )}
        {!gains && <span class="right small soft">nothing more to gain</span>}
      </div>
    </li>
  );
}

const kNumbersShown = 10;

/** Other units that the same is to be done with: their numbers. */
function Same({ units }: { units: NowView['rows'][number]['same'] }) {
  const more = units.length - kNumbersShown;
  return (
    <p class="same small">the same for {units.slice(0, kNumbersShown).map(({ unit, number }) => (
      <a key={unit} class="mono" href={pathOf('units', number)}>{number}</a>
    ))}{more > 0 && <span>and {more} more</span>}</p>
  );
}
