/** The sections of a profile: what is known, in sentences and pictures. */
import { Panel } from '../../components/Panel';
import { minutes, number, percent } from '../../lib/format';
import { type SectionId, kWordsOf } from '../../lib/profile-fields';
import { checkSentences, faultRate, ladder, nameOf, originWords, repairSentences, timeWords } from '../../lib/profile-words';
import { type Table, isTable, numberOf, tablesOf, textOf, textsOf } from '../../lib/profile-tree';
import { useEditing } from './editing';
import { Form } from './Form';
import { Items, type Opened } from './Items';

export interface SectionProps { opened: Opened | null; open: (opened: Opened | null) => void }

const seenWords = (count: number, verb: string) => (count === 0 ? `not ${verb} here yet` : count === 1 ? `${verb} here once` : `${verb} here ${count} times`);

/** "10 units' worth, authored here". */
function Behind({ item, usual = 10 }: { item: Table; usual?: number }) {
  const { tree } = useEditing();
  return <>{number(numberOf(item, 'weight', usual), 1)} units’ worth, {originWords(tree, item)}</>;
}

export function Overview({ go }: { go: (section: SectionId) => void }) {
  const { tree, view } = useEditing();
  const about = isTable(tree.device) ? textOf(tree.device, 'about') : '';
  const counts = [['fault', 'faults'], ['check', 'checks'], ['repair', 'repairs'], ['assembly', 'assemblies'], ['test', 'tests']] as const;
  return (
    <div class="profile-columns">
      <Panel title="Faults by how often they come" aside={<span class="small soft">before anything is known of a unit</span>}>
        <Pareto go={() => go('faults')} />
      </Panel>
      <div class="stack">
        <Panel title="About it">
          {about === '' ? <p class="soft">Nothing is written about it yet.</p> : <p class="about">{about}</p>}
          <p class="small soft between">{counts.map(([list, words]) => `${tablesOf(tree, list).length} ${words}`).join(' · ')} · {view.seen.units} {view.seen.units === 1 ? 'unit' : 'units'} here</p>
        </Panel>
        <Panel title="How far it is opened"><Ladder /></Panel>
      </div>
    </div>
  );
}

function Pareto({ go }: { go: () => void }) {
  const { tree, view } = useEditing();
  const faults = tablesOf(tree, 'fault').map((fault) => ({ fault, rate: faultRate(tree, fault) })).sort((a, b) => b.rate - a.rate);
  const most = Math.max(0.01, ...faults.map(({ rate }) => rate));
  if (faults.length === 0) return <p class="soft">No fault is known yet. <button type="button" class="button slim" onClick={go}>Add the first</button></p>;
  return (
    <ol class="pareto">
      {faults.map(({ fault, rate }) => {
        const seen = view.seen.faults[textOf(fault, 'id')] ?? 0;
        return (
          <li key={textOf(fault, 'id')}>
            <span class="what"><span>{textOf(fault, 'name')}{seen > 0 && <span class="small soft"> · {seenWords(seen, 'confirmed')}</span>}</span><span class="num">{percent(rate)}</span></span>
            <span class="bar" aria-hidden="true"><i class={fault.blocks_sale === false ? '' : 'sure'} style={{ width: `${rate / most * 100}%` }} /></span>
          </li>
        );
      })}
      <li class="legend"><span><i class="sure-swatch" />cannot be sold with it</span><span><i class="may-swatch" />may be sold with it</span></li>
    </ol>
  );
}

export function Ladder() {
  const { tree } = useEditing();
  const rungs = ladder(tree);
  if (rungs.length === 0) return <p class="soft">One level: closed.</p>;
  return (
    <ol class="ladder-plain">
      {rungs.map((rung) => (
        <li key={rung.index} style={{ '--depth': rung.depth }}>
          <i aria-hidden="true" />
          <b>{rung.name}</b>
          {rung.depth > 0 && <span class="small soft">{minutes(rung.open)} to open, {minutes(rung.close)} to close</span>}
        </li>
      ))}
    </ol>
  );
}

export function Faults(props: SectionProps) {
  const { tree, view } = useEditing();
  return (
    <div class="stack">
      <Items {...props} list="fault" title="Faults" empty="No fault is known yet." card={(fault) => {
        const causes = isTable(fault.causes) ? Object.entries(fault.causes) : [];
        const seen = view.seen.faults[textOf(fault, 'id')] ?? 0;
        return (
          <>
            <p>{nameOf(tree, 'assembly', textOf(fault, 'assembly'))} · <b>{percent(numberOf(fault, 'probability'))}</b> by itself
              {causes.length > 0 && <>; after {causes.map(([id, chance]) => `“${nameOf(tree, 'history', id)}” ${percent(Number(chance))}`).join(', ')}</>}
              {' '}· {percent(faultRate(tree, fault))} of all{fault.blocks_sale === false && ' · may be sold with it'}</p>
            <p class="small soft"><Behind item={fault} />; {seenWords(seen, 'confirmed')}</p>
          </>
        );
      }} />
      <Items {...props} list="history" title="What may have happened to a unit" empty="Nothing that raises several faults is known yet." card={(history) => (
        <p><b>{percent(numberOf(history, 'probability'))}</b> of the units <span class="small soft">· <Behind item={history} />; {seenWords(view.seen.histories[textOf(history, 'id')] ?? 0, 'confirmed')}</span></p>
      )} />
    </div>
  );
}

function StepCard({ step, sentences, seen }: { step: Table; sentences: string[]; seen: string }) {
  return (
    <>
      <p class="small soft">{timeWords(step)} · <Behind item={step} />; {seen}</p>
      {textOf(step, 'how') !== '' && <p>{textOf(step, 'how')}</p>}
      <ul class="sentences">{sentences.map((sentence, index) => <li key={index}>{sentence}</li>)}</ul>
      {textsOf(step, 'cautions').map((caution) => <p key={caution} class="bad">{caution}</p>)}
      {textsOf(step, 'tools').length > 0 && <p class="small soft">Tools: {textsOf(step, 'tools').join(', ')}</p>}
    </>
  );
}

export function Checks(props: SectionProps) {
  const { tree, view } = useEditing();
  return <Items {...props} list="check" title="Checks" empty="No check yet." card={(check) => (
    <StepCard step={check} sentences={checkSentences(tree, check)} seen={seenWords(view.seen.checks[textOf(check, 'id')]?.done ?? 0, 'seen')} />
  )} />;
}

export function Repairs(props: SectionProps) {
  const { tree, view } = useEditing();
  return <Items {...props} list="repair" title="Repairs" empty="No repair yet." card={(repair) => (
    <StepCard step={repair} sentences={repairSentences(tree, repair)} seen={seenWords(view.seen.repairs[textOf(repair, 'id')] ?? 0, 'done')} />
  )} />;
}

export function Parts(props: SectionProps) {
  const { money, currency } = useEditing();
  return (
    <div class="stack">
      <Items {...props} list="assembly" title="Assemblies" empty="No assembly yet." card={(assembly) => (
        <p class="soft">{[
          money ? `a good one is worth ${number(numberOf(assembly, 'harvest_value'), 2)} ${currency} on the shelf` : '',
          `${minutes(numberOf(assembly, 'harvest_minutes'))} to take out`,
          textsOf(assembly, 'variants').length > 0 ? `variants ${textsOf(assembly, 'variants').join(', ')}` : '',
        ].filter(Boolean).join(' · ')}</p>
      )} />
      <Panel title="The way in"><Ladder /></Panel>
      <Items {...props} list="access" title="Access levels" empty="None: the unit counts as one level, closed." card={(level, index) => (
        <>
          <p class="soft">{index === 0 ? 'the start, and where a unit must end to be sold'
            : `${minutes(numberOf(level, 'open_minutes'))} to open, ${minutes(numberOf(level, 'close_minutes'))} to close`}{level.trained === true && ' · only for people marked as trained'}</p>
          {textsOf(level, 'cautions').map((caution) => <p key={caution} class="bad">{caution}</p>)}
        </>
      )} />
    </div>
  );
}

export function Sheet(props: SectionProps) {
  const { tree } = useEditing();
  const limits = (test: Table) => [
    typeof test.min === 'number' ? `at least ${number(test.min, 3)}` : '', typeof test.max === 'number' ? `at most ${number(test.max, 3)}` : '',
  ].filter(Boolean).join(', ') + (typeof test.min === 'number' || typeof test.max === 'number' ? ` ${textOf(test, 'unit')}` : '');
  return (
    <div class="stack">
      <Items {...props} list="test" title="Full function test" empty="No item yet." card={(test) => (
        <>
          <p>{textOf(test, 'how')}</p>
          <p class="small soft">{[timeWords(test), limits(test), test.required === false ? 'may be left out' : '',
            textsOf(test, 'reveals').length > 0 ? `a failure speaks of ${textsOf(test, 'reveals').map((id) => `“${nameOf(tree, 'fault', id)}”`).join(', ')}` : ''].filter(Boolean).join(' · ')}</p>
        </>
      )} />
      <Items {...props} list="grade" title="Grades" empty="No grade yet." card={(grade) => <p class="soft">{percent(numberOf(grade, 'price_factor', 1))} of the working price</p>} />
    </div>
  );
}

export function Device() {
  const { money } = useEditing();
  const tables = ['device', ...(money ? ['bench'] as const : []), 'value', 'meter', 'assume'] as const;
  return <div class="stack">{tables.map((table) => <Panel key={table} title={kWordsOf[table]}><Form table={table} path={[table]} index={0} /></Panel>)}</div>;
}
