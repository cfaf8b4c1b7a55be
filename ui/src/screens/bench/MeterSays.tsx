/** What a meter log, or a glance at the meter, says of its check; one Enter makes it a finding. */
import { useEffect, useRef, useState } from 'preact/hooks';

import { type ByEyeView, type CheckView, get, paths } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { findingBody } from '../../lib/events';
import { percent } from '../../lib/format';
import { useKeys } from '../../state/keyboard';
import { useWork } from './work';

type Says = Pick<ByEyeView, 'outcome' | 'likelihood' | 'check'>;
/** Where it comes from: a stored log, or what was typed. */
type Source = { log: string } | { shown: string };

/** Outcomes by how well they fit, the best first. */
function fits(check: CheckView, likelihood: Record<string, number>) {
  return check.outcomes.map(({ id, name }) => ({ id, name, fit: likelihood[id] ?? 0 })).sort((a, b) => b.fit - a.fit);
}

function useRecordSaid() {
  const { record, busy } = useWork();
  return async (check: CheckView, says: Says, source: Source): Promise<boolean> => {
    if (busy) return false;
    const unclear = says.likelihood !== undefined;
    const name = unclear
      ? `unclear, ${fits(check, says.likelihood ?? {})[0]?.name ?? ''} fits best`
      : check.outcomes.find(({ id }) => id === says.outcome)?.name ?? '';
    const body = findingBody({
      check: check.id, outcome: says.outcome ?? null, notSure: false, minutes: check.minutes + check.move_minutes,
      ...source, ...(says.likelihood ? { likelihood: says.likelihood } : {}),
    });
    return record([{ kind: 'finding', body }], `${check.name}: ${name}${'shown' in source ? ` (${source.shown})` : ''}`);
  };
}

/** What a log or a glance suggests, to be recorded by Enter. */
export function Suggestion({ says, source, done }: { says: Says; source: Source; done: () => void }) {
  const { view } = useWork();
  const recordSaid = useRecordSaid();
  const check = view.checks.find((each) => each.id === says.check) ?? view.checks.find((each) => each.reads_meter);
  const outcome = check?.outcomes.find((each) => each.id === says.outcome);
  const nothing = outcome === undefined && says.likelihood === undefined;
  const take = () => {
    if (check === undefined || nothing) return;
    void recordSaid(check, says, source).then((taken) => taken && done());
  };
  useKeys({ enter: take });
  const line = useRef<HTMLDivElement>(null);
  useEffect(() => line.current?.scrollIntoView({ block: 'center' }), []);
  if (check === undefined) return null;
  const what = 'log' in source ? 'The log' : source.shown;
  if (nothing) return <p class="suggestion" role="status">{what} fits no outcome of “{check.name}”. Choose the outcome yourself.</p>;
  return (
    <div class="suggestion stack" ref={line} role="status">
      <div class="row spread">
        {says.likelihood === undefined
          ? <span>{what} reads as <b>{check.name}: {outcome?.name}</b>.</span>
          : <span>{what} does not say clearly what <b>{check.name}</b> shows. How well each outcome fits:</span>}
        <Button kind="main" keyed="Enter" onClick={take}>{says.likelihood === undefined ? 'Record it' : 'Record as unclear'}</Button>
      </div>
      {says.likelihood !== undefined && (
        <ul class="fits">
          {fits(check, says.likelihood).map(({ id, name, fit }) => (
            <li key={id}><span>{name}</span><span class="bar"><i style={{ width: `${100 * fit}%` }} /></span><span class="mono">{percent(fit)}</span></li>
          ))}
        </ul>
      )}
    </div>
  );
}

/** A field for what the meter showed, where no log was taken. What is clear is recorded at once. */
export function ByEye({ check }: { check: CheckView }) {
  const { view } = useWork();
  const recordSaid = useRecordSaid();
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | undefined>();
  const [says, setSays] = useState<{ says: ByEyeView; shown: string } | null>(null);
  const form = useRef<HTMLFormElement>(null);
  useKeys({ letter: (letter) => letter === 'v' && form.current?.querySelector('input')?.focus(), escape: () => setSays(null) });
  const read = async () => {
    const shown = text.trim();
    if (shown === '' || view.unit.profile === null) return setProblem('Type the amperes that the meter showed, such as .4 0 1.6');
    try {
      const answer = await get<ByEyeView>(paths.byEye(view.unit.profile, shown));
      form.current?.querySelector('input')?.blur();
      if (answer.outcome !== undefined && answer.likelihood === undefined && answer.check === check.id) {
        if (await recordSaid(check, answer, { shown })) setText('');
      } else {
        setSays({ says: answer, shown });
      }
    } catch (error) {
      setProblem(error instanceof Error ? error.message : 'It could not be read.');
    }
  };
  return (
    <>
      <form ref={form} class="reading" onSubmit={(event) => {
        event.preventDefault();
        void read();
      }}>
        <Field label="By eye, key v: .4 0 1.6, .2~ wanders, - dark" unit="A" value={text} problem={problem}
          onInput={(next) => (setText(next), setProblem(undefined), setSays(null))} />
        <Button submit>Record</Button>
      </form>
      {says !== null && <Suggestion says={says.says} source={{ shown: says.shown }} done={() => (setSays(null), setText(''))} />}
    </>
  );
}
