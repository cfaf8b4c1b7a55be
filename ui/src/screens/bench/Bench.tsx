/** One unit: what to do, what is known, what happened; the ways to stop along the bottom. */
import './bench.css';

import { useEffect, useMemo, useRef, useState } from 'preact/hooks';

import { type UnitView, paths } from '../../api';
import { Failed, Loading, Stale } from '../../components/Hush';
import { Tape } from '../../components/Tape';
import { boundLetters } from '../../lib/bindings';
import { type BenchStep, advisedKey, benchSteps, openedAt, stepBeside } from '../../lib/bench';
import { withAdvice } from '../../lib/events';
import { pathOf } from '../../lib/route';
import { handsOn } from '../../lib/forms';
import { strike as strikeEntry } from '../../state/journal';
import { useKeys } from '../../state/keyboard';
import { openings, takeWantedStep } from '../../state/navigation';
import { say, speak } from '../../state/notices';
import { useResource } from '../../state/resource';
import { noteLook } from '../../state/looked';
import { settings } from '../../state/settings';
import { QuickAdd } from '../profiles/QuickAdd';
import { Diary } from './Diary';
import { Actions, OpenForm } from './Forms';
import { AccessLadder, Assemblies, Belief } from './Known';
import { Ledger } from './Ledger';
import { MeterLog } from './MeterLog';
import { Photos } from './Photos';
import { Closed, Conflict, NoModel, Standing } from './Special';
import { StepList } from './StepList';
import { StepPanel } from './StepPanel';
import { Surprise } from './Surprise';
import { useWhatIf } from './whatif';
import { type FormId, type Work, WorkContext, recordAbout } from './work';

export function Bench({ id }: { id: string }) {
  const resource = useResource<UnitView>(paths.unit(id), (view) => ({ kind: 'unit', id: view.unit.id }));
  const { data: view, error, loading, reload } = resource.value;
  if (view === null) return error ? <Failed what={`unit ${id}`} error={error} again={reload} /> : <Loading what={`unit ${id}`} />;
  return (
    <>
      {error && <Stale error={error} again={reload} />}
      <BenchOf view={view} reading={loading} />
    </>
  );
}

function useBench(view: UnitView, reading: boolean) {
  const { trained, keys } = settings.value;
  const steps = useMemo(() => benchSteps(view, trained, boundLetters(keys)), [view, trained, keys]);
  const [chosen, choose] = useOpenedAt(steps, advisedKey(view));
  const [form, openForm] = useState<FormId | null>(null);
  const [sending, setSending] = useState(false);
  const shown = steps.find((step) => step.key === chosen) ?? steps.find((step) => step.key === advisedKey(view)) ?? null;
  const whatIf = useWhatIf(view);
  const take = (key: string | null) => {
    whatIf.leave();
    choose(key);
  };
  const work: Work = {
    view, steps, busy: sending || reading, choose: take, openForm, whatIf,
    record: async (entries, words, stay) => {
      setSending(true);
      const next = view.advice?.next ?? null;
      const advised = entries.map(({ kind, body }) => ({ kind, body: withAdvice(kind, body, next) }));
      const taken = await recordAbout(view.unit.id, advised, words).finally(() => setSending(false));
      if (taken && stay === undefined) {
        take(null);
        openForm(null);
      }
      return taken;
    },
    strike: (entry, words) => void strikeEntry({ kind: 'unit', id: view.unit.id }, entry, words)
      .then((struck) => struck !== null && say({ tone: 'good', text: `Recorded: ${words}.` })),
  };
  useKeys({
    move: (by) => take(stepBeside(steps, shown?.key ?? null, by)),
    escape: () => {
      openForm(null);
      // The what-if is left first; what is shown stays.
      if (whatIf.on) whatIf.leave();
      else take(null);
    },
  });
  return { work, shown, form };
}

/** The step that the person chose, null: the advised one. A unit that was opened at a step starts there, before any key can
 * mean another one. */
function useOpenedAt(steps: readonly BenchStep[], advised: string | null) {
  const opening = openings.value;
  const taken = useRef(-1);
  const [chosen, choose] = useState<string | null>(null);
  let now = chosen;
  if (taken.current !== opening) {
    taken.current = opening;
    const at = takeWantedStep();
    if (at !== '') now = openedAt(steps, advised, at);
    if (now !== chosen) choose(now);
  }
  return [now, choose] as const;
}

/** Says the next step aloud when it has changed; where speaking is switched off nothing is heard. */
function useSpokenStep(shown: BenchStep | null): void {
  const last = useRef(shown?.key);
  useEffect(() => {
    if (shown !== null && last.current !== shown.key) speak(`Next: ${shown.name}.`, 'after');
    last.current = shown?.key;
  }, [shown?.key]);
}

function BenchOf({ view, reading }: { view: UnitView; reading: boolean }) {
  const { work, shown, form } = useBench(view, reading);
  useSpokenStep(shown);
  const ledger = view.advice !== null && !view.unit.closed;
  useEffect(() => {
    document.documentElement.style.setProperty('--notice-bottom', ledger ? '5rem' : '1rem');
    return () => document.documentElement.style.removeProperty('--notice-bottom');
  }, [ledger]);
  useEffect(() => noteLook(view), [view]);
  const asIs = shown?.kind === 'outlet' && shown.outlet === 'sell-as-is';
  return (
    <WorkContext.Provider value={work}>
      <article class="bench" aria-busy={work.busy}>
        <Head view={view} />
        <div class="bands">
          <div class="band">
            <Standing />
            {view.conflict.length > 0 && <Conflict />}
            {view.unit.closed && <Closed />}
            {!view.unit.closed && view.unit.profile === null && <NoModel />}
            {!view.unit.closed && view.unit.profile !== null && view.advice === null && view.conflict.length === 0
              && <p class="panel">{view.advice_problem ?? 'There is no advice for this unit now.'}</p>}
            {form !== null && <OpenForm kind={form} asIs={asIs} />}
            {!view.unit.closed && shown !== null && form === null && <StepPanel step={shown} />}
            <Surprise />
            <Actions open={form} />
            <QuickAdd view={view} />
            {!view.unit.closed && work.steps.length > 0 && <StepList shown={shown?.key ?? null} />}
          </div>
          <div class="band">
            <Belief />
            <MeterLog key={view.unit.id} />
            <Photos key={view.unit.id} />
            <AccessLadder />
            <Assemblies />
          </div>
          <div class="band"><Diary /></div>
        </div>
        {ledger && <Ledger />}
      </article>
    </WorkContext.Provider>
  );
}

function Head({ view }: { view: UnitView }) {
  const { unit } = view;
  const name = [unit.model, unit.revision].filter((part) => part !== '').join(' ');
  return (
    <header class="bench-head">
      <h1><span class="unseen">Unit </span><Tape number={unit.number} name={name} state={unit.state} large here /></h1>
      <dl class="bench-facts small">
        <div><dt>Lot</dt><dd><a href={pathOf('lots', unit.lot)}>{unit.lot_name}</a></dd></div>
        {unit.profile !== null && <div><dt>Profile</dt><dd><a href={pathOf('profiles', unit.profile)}>{unit.profile_name}</a></dd></div>}
        {unit.serial !== '' && <div><dt>Serial</dt><dd class="mono">{unit.serial}</dd></div>}
        {unit.condition !== '' && <div><dt>Condition</dt><dd>{unit.condition}</dd></div>}
        <div><dt>So far</dt><dd>{handsOn(view)}</dd></div>
      </dl>
    </header>
  );
}
