/** The step to do: its name, why, what to mind, and what can be recorded of it. */
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';

import { Button } from '../../components/Button';
import { type BenchStep, advisedKey, reasonText } from '../../lib/bench';
import type { UnitView } from '../../api';
import { minutes } from '../../lib/format';
import { nameWanted } from '../../state/journal';
import { plannerChanged } from '../../state/looked';
import { settings, showsMoney } from '../../state/settings';
import { Cautions } from './Cautions';
import { CheckOutcomes } from './CheckOutcomes';
import { OutletChoices } from './OutletChoices';
import { RepairDone } from './RepairDone';
import { TestSheet } from './TestSheet';
import { useWork } from './work';

export function StepPanel({ step }: { step: BenchStep }) {
  const { view, choose, busy, whatIf } = useWork();
  const advised = step.key === advisedKey(view);
  const later = laterWords(view);
  const first = useRef(step.key);
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    // A screen reader hears the step when it changes, and at once when the screen opens.
    if (first.current !== step.key) title.current?.scrollIntoView({ block: 'nearest' });
    first.current = step.key;
  }, [step.key]);
  const doing = step.kind === 'check' ? step.check : step.kind === 'repair' ? step.repair : null;
  return (
    <section class={whatIf.on ? 'do supposing' : advised && later === null ? 'do advised' : 'do'} aria-label="What to do">
      <div class="do-top">
        <p class="do-kicker">{whatIf.on ? 'What if: nothing is recorded' : advised ? later ?? 'Do this next' : 'Chosen by you'}</p>
        {busy ? <Thinking /> : doing !== null && <Facts step={doing} />}
        {!advised && !busy && advisedKey(view) !== null && (
          <Button slim kind="plain" keyed="Esc" onClick={() => choose(null)}>Back to the advised step</Button>
        )}
      </div>
      <div aria-live="polite"><h2 class="do-name" ref={title}>{step.name}</h2></div>
      {advised && <Changed />}
      {doing !== null && !whatIf.on && <How text={doing.how} />}
      {doing !== null && !whatIf.on && <Gates step={doing} />}
      <Body step={step} />
      {!whatIf.on && <Why step={step} advised={advised} />}
    </section>
  );
}

/** While something is on its way: what it waits for. */
function Thinking() {
  return (
    <p class="thinking small" role="status">
      {nameWanted.value === null ? 'Working out what is next …' : 'Not recorded yet: say who you are, below.'}
    </p>
  );
}

function Body({ step }: { step: BenchStep }) {
  const { view } = useWork();
  const trained = (step.kind === 'check' && step.check.trained) || (step.kind === 'repair' && step.repair.trained);
  if (trained && !settings.value.trained) {
    return <p class="bad">This step is for a person marked as trained for it. Leave the unit closed and pass it on.</p>;
  }
  switch (step.kind) {
    case 'check':
      return step.check.is_full_test && view.tests.length > 0 ? <TestSheet /> : <CheckOutcomes key={step.key} check={step.check} advice={step.advice} />;
    case 'repair': return <RepairDone key={step.key} repair={step.repair} />;
    case 'outlet': return <OutletChoices outlet={step.outlet} />;
  }
}

const How = ({ text }: { text: string }) => (text === '' ? null : <p class="do-how">{text}</p>);

/** A unit that waits or is put aside has no step for now: when the advised one comes; null where it is for now. */
function laterWords({ unit }: UnitView): string | null {
  if (unit.waiting !== null) return 'When the wait is over';
  return unit.state.id === 'put-aside' ? 'When it is taken up again' : null;
}

/** Why this is advised though nothing was found since something else was. */
function Changed() {
  const { view } = useWork();
  const words = view.advice?.change?.words ?? (plannerChanged(view) ? 'The planner itself has changed since this unit was last looked at here.' : '');
  return words === '' ? null : <p class="small soft changed">{words}</p>;
}

function Why({ step, advised }: { step: BenchStep; advised: boolean }) {
  const { view } = useWork();
  const reason = step.advice ? reasonText(step.advice, showsMoney(), step.kind !== 'check') : '';
  const numbers = step.advice?.numbers?.words ?? (view.unit.numbers_from === '' ? '' : `numbers ${view.unit.numbers_from}`);
  return (
    <p class="do-why">
      {reason}{' '}
      <span class="small soft">
        {step.rank === null ? 'The plan does not offer this now. ' : advised ? '' : `Number ${step.rank} of the plan. `}
        {numbers !== '' && `(${numbers})`}
      </span>
    </p>
  );
}

interface Doing {
  how: string;
  minutes: number;
  wait_minutes: number;
  move_minutes: number;
  at: string[];
  tools: string[];
  cautions: string[];
  gates: { check: string; name: string; outcomes: string[]; open: boolean }[];
}

/** What it takes, in one line. */
function Facts({ step }: { step: Doing }) {
  const { view } = useWork();
  const at = view.access.levels.find((level) => level.id === view.access.at)?.name ?? view.access.at;
  const facts: ComponentChildren[] = [`${minutes(step.minutes)} of hands`];
  if (step.move_minutes > 0 && step.at.length > 0) facts.push(`${minutes(step.move_minutes)} from ${at} to ${step.at.join(' or ')}`);
  if (step.wait_minutes > 0) facts.push(`${minutes(step.wait_minutes)} of waiting`);
  if (step.tools.length > 0) facts.push(step.tools.join(', '));
  return <ul class="facts">{facts.map((fact, at) => <li key={at}>{fact}</li>)}</ul>;
}

/** Findings that have to come first, and cautions. */
function Gates({ step }: { step: Doing }) {
  const { choose } = useWork();
  return (
    <>
      {step.gates.filter((gate) => !gate.open).map((gate) => (
        <p key={gate.check} class="gate bad">
          First “{gate.name}” must read {gate.outcomes.join(' or ')}.{' '}
          <Button slim onClick={() => choose(`check/${gate.check}`)}>Take that check</Button>
        </p>
      ))}
      <Cautions texts={step.cautions} />
    </>
  );
}
