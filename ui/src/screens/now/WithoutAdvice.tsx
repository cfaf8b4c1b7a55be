import type { NowView } from '../../api';
import { Panel } from '../../components/Panel';
import { pathOf } from '../../lib/route';

/** Open units that no step can be named for, with the reason said once for all that share it. */
export function WithoutAdvice({ units }: { units: NonNullable<NowView['without_advice']> }) {
  const reasons = new Map<string, typeof units>();
  for (const unit of units) reasons.set(unit.why, [...(reasons.get(unit.why) ?? []), unit]);
  return (
    <Panel title={units.length === 1 ? '1 unit without a next step' : `${units.length} units without a next step`}>
      <div class="stack">
        {[...reasons].map(([why, same]) => (
          <div key={why}>
            <p class="small">{why}</p>
            <p class="numbers">{same.map((unit) => <a key={unit.unit} class="mono" href={pathOf('units', unit.number)}>{unit.number}</a>)}</p>
          </div>
        ))}
      </div>
    </Panel>
  );
}
