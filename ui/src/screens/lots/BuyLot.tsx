import { useState } from 'preact/hooks';

import { type ProfileList, paths } from '../../api';
import { Button } from '../../components/Button';
import { Choice, Field } from '../../components/Field';
import { parseMoney } from '../../lib/format';
import { pathOf } from '../../lib/route';
import { wholeNumber } from '../../lib/shop';
import { append, newId } from '../../state/journal';
import { go } from '../../state/navigation';
import { useResource } from '../../state/resource';

interface Line {
  profile: string;
  model: string;
  revision: string;
  declared: string;
}

const kUnknown = '';
const kNoLine: Line = { profile: kUnknown, model: '', revision: '', declared: '' };

function today(): string {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
}

/** The form in which a lot is bought: price, seller and the manifest's lines. */
export function BuyLot({ close }: { close: () => void }) {
  const profiles = useResource<ProfileList>(paths.profiles).value.data?.profiles ?? [];
  const [name, setName] = useState('');
  const [seller, setSeller] = useState('');
  const [date, setDate] = useState(today());
  const [price, setPrice] = useState('');
  const [typedCurrency, setCurrency] = useState<string | null>(null);
  const [claimBy, setClaimBy] = useState('');
  const [note, setNote] = useState('');
  const [lines, setLines] = useState<Line[]>([kNoLine]);
  const [tried, setTried] = useState(false);

  // The currency of the first model that is known; amounts of a lot are all in one.
  const currency = typedCurrency ?? profiles.find(({ id }) => lines.some((line) => line.profile === id))?.currency ?? profiles[0]?.currency ?? 'USD';
  const amount = parseMoney(price, currency);
  const problems = {
    name: name.trim() === '' ? 'Give it a name that you will know it by.' : undefined,
    date: /^\d{4}-\d{2}-\d{2}$/.test(date) ? undefined : 'Give the day of the purchase.',
    price: amount === null || amount.minor < 0 ? 'An amount such as 180 or 180.50.' : undefined,
    currency: /^[A-Z]{3}$/.test(currency) ? undefined : 'Three capital letters, such as USD.',
  };
  const lineProblems = lines.map((line) => ({
    model: line.model.trim() === '' ? 'What the seller calls it.' : undefined,
    declared: wholeNumber(line.declared, 0) === null ? 'A whole number.' : undefined,
  }));
  const shown = <T,>(problem: T) => (tried ? problem : undefined);
  const wrong = Object.values(problems).some(Boolean) || lineProblems.some((each) => each.model || each.declared);

  const setLine = (index: number, part: Partial<Line>) =>
    setLines(lines.map((line, at) => (at === index ? { ...line, ...part } : line)));

  const chooseProfile = (index: number, id: string) => {
    const known = profiles.find((profile) => profile.id === id);
    const line = lines[index];
    const named = profiles.some((profile) => profile.name === line?.model);
    setLine(index, { profile: id, ...(known && (line?.model === '' || named) ? { model: known.name } : {}) });
  };

  const buy = async () => {
    setTried(true);
    if (wrong || amount === null) return;
    const id = newId();
    const accepted = await append([{
      id, subject: { kind: 'lot', id }, kind: 'lot-bought',
      body: {
        name: name.trim(), seller: seller.trim(), bought_on: date, price: amount,
        lines: lines.map((line, index) => ({
          id: String.fromCharCode(97 + index), model: line.model.trim(), declared: wholeNumber(line.declared, 0) ?? 0,
          ...(line.profile === kUnknown ? {} : { profile: line.profile }),
          ...(line.revision.trim() === '' ? {} : { revision: line.revision.trim() }),
        })),
        ...(claimBy === '' ? {} : { claim_by: claimBy }),
        ...(note.trim() === '' ? {} : { note: note.trim() }),
      },
    }], `lot “${name.trim()}” bought`);
    if (accepted !== null) {
      close();
      go(pathOf('lots', id));
    }
  };

  return (
    <form class="panel stack" aria-label="Buy a lot" onSubmit={(event) => {
      event.preventDefault();
      void buy();
    }}>
      <h2>Buy a lot</h2>
      <div class="fields">
        <Field label="Name of the lot" value={name} onInput={setName} problem={shown(problems.name)} focus />
        <Field label="Seller" value={seller} onInput={setSeller} />
        <Field label="Bought on" kind="date" value={date} onInput={setDate} problem={shown(problems.date)} />
        <Field label="Price" kind="amount" value={price} onInput={setPrice} unit={currency} problem={shown(problems.price)} />
        <Field label="Shortages to be claimed by (may be left out)" kind="date" value={claimBy} onInput={setClaimBy} />
        <Field label="Currency" value={currency} onInput={(text) => setCurrency(text.toUpperCase())} problem={shown(problems.currency)} />
      </div>
      <fieldset class="manifest">
        <legend class="kicker">What the seller declared</legend>
        {lines.map((line, index) => (
          <div key={index} class="fields">
            <Choice label="Device profile" value={line.profile} onChange={(id) => chooseProfile(index, id)}
              options={[[kUnknown, 'not known yet'], ...profiles.map(({ id, name: words }) => [id, words] as const)]} />
            <Field label="Model" value={line.model} onInput={(model) => setLine(index, { model })} problem={shown(lineProblems[index]?.model)} />
            <Field label="Revision" value={line.revision} onInput={(revision) => setLine(index, { revision })} />
            <Field label="Declared" value={line.declared} onInput={(declared) => setLine(index, { declared })} unit="units"
              problem={shown(lineProblems[index]?.declared)} />
            {lines.length > 1 && <Button onClick={() => setLines(lines.filter((_, at) => at !== index))}>Remove line</Button>}
          </div>
        ))}
        <div class="row"><Button onClick={() => setLines([...lines, kNoLine])}>Another line</Button></div>
      </fieldset>
      <Field label="Note" value={note} onInput={setNote} rows={2} />
      <div class="row">
        <Button submit kind="main">Buy it</Button>
        <Button onClick={close}>Not now</Button>
      </div>
    </form>
  );
}
