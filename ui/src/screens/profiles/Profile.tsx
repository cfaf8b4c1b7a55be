import '../shop.css';

import { useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';

import { type ProfileView, paths } from '../../api';
import { Button } from '../../components/Button';
import { ForOwner } from '../../components/Figures';
import { Failed, Loading, Stale } from '../../components/Hush';
import { Panel } from '../../components/Panel';
import { minutes, number, percent } from '../../lib/format';
import { useResource } from '../../state/resource';
import { SaveProfile } from './SaveProfile';

export function Profile({ id }: { id: string }) {
  const { data: view, error, reload } = useResource<ProfileView>(paths.profile(id)).value;
  const [editing, setEditing] = useState(false);
  if (view === null) return error ? <Failed what="profile" error={error} again={reload} /> : <Loading what="the profile" />;
  return (
    <div class="stack">
      {error && <Stale error={error} again={reload} />}
      <div class="heading row spread">
        <div>
          <h1>{view.name}</h1>
          <p class="soft">version {view.version} · {view.numbers_from === 'invented' ? 'all numbers are invented' : 'numbers authored here'}
            {view.overrides.advised > 0 && ` · ${view.overrides.against} of ${view.overrides.advised} steps were taken against the advice`}</p>
        </div>
        {!editing && (
          <div class="row">
            <Button onClick={() => setEditing(true)}>Change its text</Button>
            <a class="button" download={`${view.id}.toml`} href={`data:application/toml;charset=utf-8,${encodeURIComponent(view.toml)}`}>Take out as a file</a>
          </div>
        )}
      </div>
      {editing && <SaveProfile toml={view.toml} saved={() => setEditing(false)} close={() => setEditing(false)} />}
      {view.about && <p>{view.about}</p>}
      <Faults view={view} />
      <Steps title="Checks" steps={view.checks} />
      <Steps title="Repairs" steps={view.repairs} />
      <Panel title="Full function test">
        <ol class="hairlines">
          {view.tests.map((test) => (
            <li key={test.id} class="step-card"><h3>{test.name}{!test.required && <span class="soft"> · may be left out</span>}</h3><p>{test.how}</p></li>
          ))}
        </ol>
      </Panel>
      <ForOwner>
        <Panel title="What it is worth">
          <Table head={['', view.currency]} rows={[
            ...Object.entries(view.value).map(([key, value]) => [key.replaceAll('_', ' '), number(value, 2)]),
            ['an hour at the bench', number(view.rate_per_hour, 2)],
            ...view.grades.map((grade) => [`grade ${grade.name}, part of the price`, number(grade.price_factor, 2)]),
          ]} />
        </Panel>
      </ForOwner>
    </div>
  );
}

function Table({ head, rows }: { head: string[]; rows: ComponentChildren[][] }) {
  return (
    <div class="table-wide" tabIndex={0} role="region" aria-label={head.filter(Boolean).join(', ')}>
      <table class="figures">
        <thead><tr>{head.map((words, column) => <th key={column} scope="col" class={column === head.length - 1 ? 'num' : ''}>{words}</th>)}</tr></thead>
        <tbody>
          {rows.map((cells, row) => (
            <tr key={row}>{cells.map((cell, column) => <td key={column} class={column === cells.length - 1 ? 'num' : ''}>{cell}</td>)}</tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Faults({ view }: { view: ProfileView }) {
  const assembly = (id: string) => view.assemblies.find((each) => each.id === id)?.name ?? id;
  const history = (id: string) => view.histories.find((each) => each.id === id)?.name ?? id;
  return (
    <>
      <Panel title="Faults">
        <Table head={['Fault', 'Assembly', 'More often after', 'By itself']} rows={view.faults.map((fault) => [
          <>{fault.name}{!fault.blocks_sale && <span class="soft"> · can be sold with it</span>}</>,
          assembly(fault.assembly),
          fault.causes.map((cause) => `${history(cause.history)} (${percent(cause.probability)})`).join(', ') || '–',
          percent(fault.probability),
        ])} />
      </Panel>
      <Panel title="Histories">
        <Table head={['What may have happened', 'How often']} rows={view.histories.map((each) => [each.name, percent(each.probability)])} />
      </Panel>
    </>
  );
}

function Steps({ title, steps }: { title: string; steps: ProfileView['checks'] }) {
  return (
    <Panel title={title}>
      <ol class="hairlines">
        {steps.map((step) => (
          <li key={step.id} class="step-card">
            <h3>{step.name} <span class="soft">{minutes(step.minutes)}{step.wait_minutes > 0 && ` and ${minutes(step.wait_minutes)} of waiting`}</span></h3>
            {step.how && <p>{step.how}</p>}
            <ul class="sentences">{step.sentences.map((sentence) => <li key={sentence}>{sentence}</li>)}</ul>
            {step.cautions.map((caution) => <p key={caution} class="bad">{caution}</p>)}
            {step.tools.length > 0 && <p class="small soft">Tools: {step.tools.join(', ')}</p>}
          </li>
        ))}
      </ol>
    </Panel>
  );
}
