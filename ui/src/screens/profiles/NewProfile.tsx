/** The smallest profile of a new model; everything else is added in its forms. */
import { useState } from 'preact/hooks';

import { editProfile } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { parseNumber } from '../../lib/format';
import { type Edit, idFrom } from '../../lib/profile-tree';
import { append } from '../../state/journal';
import { say } from '../../state/notices';

export function NewProfile({ taken, saved, close }: { taken: readonly string[]; saved: (id: string) => void; close: () => void }) {
  const [name, setName] = useState('');
  const [currency, setCurrency] = useState('USD');
  const [rate, setRate] = useState('24');
  const [working, setWorking] = useState('');
  const [asIs, setAsIs] = useState('');
  const [tried, setTried] = useState(false);
  const amount = (text: string) => ((parseNumber(text) ?? -1) >= 0 ? undefined : `An amount in ${currency}, such as 24.`);
  const problems = {
    name: name.trim() === '' ? 'The model’s name.' : undefined,
    currency: /^[A-Z]{3}$/.test(currency) ? undefined : 'Three capital letters, such as USD.',
    rate: amount(rate), working: amount(working), asIs: amount(asIs),
  };
  const said = (key: keyof typeof problems) => (tried ? problems[key] : undefined);
  const save = async () => {
    setTried(true);
    if (Object.values(problems).some((problem) => problem !== undefined)) return;
    const id = idFrom(name, taken, 'model').replace(/[^a-z0-9-]/g, '');
    const edits: Edit[] = [
      { edit: 'set', path: ['device'], value: { id, name: name.trim(), currency, numbers_from: 'memory' } },
      { edit: 'set', path: ['bench'], value: { rate_per_hour: parseNumber(rate) ?? 0 } },
      { edit: 'set', path: ['value'], value: { working_price: parseNumber(working) ?? 0, as_is_price: parseNumber(asIs) ?? 0 } },
    ];
    try {
      const draft = await editProfile('format = 1\n', edits);
      if (!draft.ok) throw new Error(draft.problems[0]?.what ?? 'The profile is not complete.');
      const words = `profile “${name.trim()}” begun`;
      if ((await append([{ subject: { kind: 'profile', id }, kind: 'profile-saved', body: { toml: draft.toml } }], words)) === null) return;
      say({ tone: 'good', text: `Recorded: ${words}.` });
      saved(id);
    } catch (error) {
      say({ tone: 'bad', text: error instanceof Error ? error.message : String(error) });
    }
  };
  return (
    <form class="panel stack" aria-label="Begin a profile" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <h2>Begin a profile</h2>
      <div class="fields">
        <Field label="Model" value={name} onInput={setName} problem={said('name')} focus />
        <Field label="Currency" value={currency} onInput={(text) => setCurrency(text.toUpperCase())} problem={said('currency')} />
        <Field label="An hour of hands is worth" kind="amount" unit={currency} value={rate} onInput={setRate} problem={said('rate')} />
        <Field label="Proved, it sells at" kind="amount" unit={currency} value={working} onInput={setWorking} problem={said('working')} />
        <Field label="As it is, it sells at" kind="amount" unit={currency} value={asIs} onInput={setAsIs} problem={said('asIs')} />
      </div>
      <p class="soft">Next: the assemblies you replace, how it is opened, five to ten faults that you see often, then checks and repairs.</p>
      <div class="row"><Button submit kind="main">Begin it</Button><Button onClick={close}>Not now</Button></div>
    </form>
  );
}
