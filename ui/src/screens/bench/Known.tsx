/** What is known of the unit: belief with its course, histories, assemblies, how far it is open. */
import { useState } from 'preact/hooks';

import type { UnitView } from '../../api';
import { Button } from '../../components/Button';
import { Chance } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { allowedAction, courseOf, sparkPoints } from '../../lib/bench';
import { minutes } from '../../lib/format';
import { useWork } from './work';

const kShownFaults = 6;
type Bar = NonNullable<UnitView['belief']>['faults'][number];

export function Belief() {
  const { view, whatIf } = useWork();
  const [all, setAll] = useState(false);
  const supposed = whatIf.answer?.belief ?? null;
  const belief = supposed ?? view.belief;
  if (belief === null) return null;
  const faults = [...belief.faults].sort((a, b) => b.probability - a.probability);
  const shown = all ? faults : faults.slice(0, kShownFaults);
  const rest = faults.length - kShownFaults;
  const before = (bar: Bar) => (supposed === null ? undefined : [...view.belief?.faults ?? [], ...view.belief?.histories ?? []].find(({ id }) => id === bar.id));
  return (
    <Panel title={supposed === null ? 'What is wrong with it' : 'What would be wrong with it: supposed, not recorded'} kind={supposed === null ? '' : 'is-supposed'}
      aside={<span class="small">free of what blocks a sale: <Chance p={belief.clean} words={belief.chance} /></span>}>
      {view.unit.zeros_small && <p class="small soft">Small chances where the profile says never, as its readings clashed.</p>}
      <ul class="bars">{shown.map((fault) => <BeliefRow key={fault.id} bar={fault} course={courseOf(view, fault.id)} before={before(fault)} />)}</ul>
      {rest > 0 && <Button slim kind="plain" onClick={() => setAll(!all)}>{all ? 'Only the likely ones' : `${rest} more, less likely`}</Button>}
      {belief.histories.length > 0 && (
        <>
          <h3 class="kicker between">What may have happened to it</h3>
          <ul class="bars">{belief.histories.map((history) => <BeliefRow key={history.id} bar={history} course={[]} before={before(history)} />)}</ul>
        </>
      )}
    </Panel>
  );
}

const kSparkWidth = 72;
const kSparkHeight = 22;

/** One fault or history; opened, it can be confirmed or ruled out. `before`: how it stands now, where the bar is supposed. */
function BeliefRow({ bar, course, before }: { bar: Bar; course: number[]; before: Bar | undefined }) {
  const { view, record, busy, whatIf } = useWork();
  const [open, setOpen] = useState(false);
  const know = (kind: 'confirmed' | 'ruled-out', event: object, words: string) => {
    if (busy) return;
    setOpen(false);
    void record([{ kind, body: { event } }], words);
  };
  const can = (kind: string) => {
    const { allowed, why } = allowedAction(view, kind);
    return allowed ? undefined : why;
  };
  return (
    <li class="bar">
      <button type="button" class="bare bar-row" aria-expanded={open} onClick={() => setOpen(!open)}>
        <span class="bar-name">{bar.name}</span>
        <span class="bar-chance"><Chance p={bar.probability} words={bar.chance} /></span>
        <span class="bar-track" aria-hidden="true"><i style={{ transform: `scaleX(${bar.probability})` }} />
          {before !== undefined && <b style={{ left: `${before.probability * 100}%` }} />}</span>
        {before !== undefined && <span class="small soft bar-was">now {before.chance}</span>}
        {before === undefined && course.length > 1 && (
          <svg class="spark" width={kSparkWidth} height={kSparkHeight} viewBox={`-2 -2 ${kSparkWidth + 4} ${kSparkHeight + 4}`} aria-hidden="true">
            <path d={`M0 ${kSparkHeight}H${kSparkWidth}`} class="spark-base" />
            <polyline points={sparkPoints(course, kSparkWidth, kSparkHeight)} />
          </svg>
        )}
      </button>
      {open && !whatIf.on && (
        <div class="row bar-acts">
          <Button slim why={can('confirmed')} onClick={() => know('confirmed', { confirmed: bar.id }, `confirmed: ${bar.name}`)}>It is so</Button>
          <Button slim why={can('ruled-out')} onClick={() => know('ruled-out', { ruled_out: bar.id }, `ruled out: ${bar.name}`)}>It is not</Button>
          <span class="small soft">Only when you know it, not when you think it.</span>
        </div>
      )}
    </li>
  );
}

export function Assemblies() {
  const { view } = useWork();
  if (view.belief === null || view.belief.assemblies.length === 0) return null;
  return (
    <Panel title="Good assemblies">
      <ul class="assemblies">
        {view.belief.assemblies.map((each) => (
          <li key={each.id}><span>{each.name}</span><span class="bar-track slim" aria-hidden="true"><i class="is-good" style={{ transform: `scaleX(${each.good})` }} /></span>
            <span class="small"><Chance p={each.good} words={each.chance} /></span></li>
        ))}
      </ul>
    </Panel>
  );
}

/** The access levels as a ladder going down into the unit; where it stands is filled. */
export function AccessLadder() {
  const { view: { access } } = useWork();
  const depth = (id: string, seen = 0): number => {
    const from = access.levels.find((level) => level.id === id)?.from;
    return from == null || seen > access.levels.length ? 0 : 1 + depth(from, seen + 1);
  };
  if (access.levels.length < 2) return null;
  return (
    <Panel title="How far it is open" aside={access.close_minutes > 0 && <span class="small soft">{minutes(access.close_minutes)} to close</span>}>
      <ol class="ladder">
        {access.levels.map((level) => (
          <li key={level.id} class={level.id === access.at ? 'here' : ''} style={{ '--depth': String(depth(level.id)) }}
            {...(level.id === access.at ? { 'aria-current': 'location' as const } : {})}>
            <i aria-hidden="true" /><span>{level.name}{level.id === access.at && <b> – it is here</b>}</span>
            {level.from !== null && <span class="small soft">{minutes(level.open_minutes)} to open</span>}
          </li>
        ))}
      </ol>
    </Panel>
  );
}
