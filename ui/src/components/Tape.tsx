import type { UnitState } from '../api';
import { pathOf } from '../lib/route';
import { Shape } from './Shape';

/** A unit's strip of tape: number, name, state in words and shape. Links to the unit unless `here`. */
export function Tape({ number, name, state, large = false, here = false }: {
  number: number; name: string; state: UnitState; large?: boolean; here?: boolean;
}) {
  const inside = (
    <>
      <span class="number">{number}</span>
      <span class="about">
        <span class="name">{name}</span>
        <span class="state"><Shape state={state.id} size={large ? 24 : 16} />{state.words}</span>
      </span>
    </>
  );
  const kind = large ? 'tape large' : 'tape';
  return here ? <span class={kind}>{inside}</span> : <a class={kind} href={pathOf('units', number)}>{inside}</a>;
}
