import { useState } from 'preact/hooks';

import { Button } from '../../../components/Button';
import { Choice, Field } from '../../../components/Field';
import { localTime } from '../../../lib/forms';
import { append } from '../../../state/journal';

/** Why a unit must not be sold, and what shows it (job.md: the check, its date and reference). */
const kReasons = [
  ['account-locked', 'start page asks for its owner'],
  ['banned from its network', 'network’s list of banned devices'],
  ['reported stolen', 'register of stolen goods'],
  ['legal waiting time', 'purchase record'],
] as const;

/** Holds a unit aside in the flow of receiving: the check, its date and reference. */
export function HoldAside({ unit, done }: { unit: { id: string; number: number }; done: (held: boolean) => void }) {
  const [reason, setReason] = useState<string>(kReasons[0][0]);
  const [typedCheck, setCheck] = useState<string | null>(null);
  const [date, setDate] = useState(localTime(new Date()).slice(0, 10));
  const [reference, setReference] = useState('');
  const [tried, setTried] = useState(false);
  const check = typedCheck ?? kReasons.find(([id]) => id === reason)?.[1] ?? '';
  const problems = {
    check: check.trim() === '' ? 'What was checked.' : undefined,
    date: /^\d{4}-\d{2}-\d{2}$/.test(date) ? undefined : 'The day of the check.',
  };
  const hold = async () => {
    setTried(true);
    if (problems.check || problems.date) return;
    const body = { reason, check: check.trim(), date, ...(reference.trim() === '' ? {} : { reference: reference.trim() }) };
    const accepted = await append([{ subject: { kind: 'unit', id: unit.id }, kind: 'held-aside', body }], `unit ${unit.number} held aside: ${reason}`);
    if (accepted !== null) done(true);
  };
  return (
    <form class="stack sunk" aria-label={`Hold unit ${unit.number} aside`} onSubmit={(event) => {
      event.preventDefault();
      void hold();
    }}>
      <p><b>Hold unit {unit.number} aside.</b> It cannot be sold until it is released; the check is made again before a sale.</p>
      <div class="fields">
        <Choice label="Reason" value={reason} onChange={setReason} options={kReasons.map(([id]) => [id, id] as const)} />
        <Field label="What was checked" value={check} onInput={setCheck} problem={tried ? problems.check : undefined} />
        <Field label="Date of the check" kind="date" value={date} onInput={setDate} problem={tried ? problems.date : undefined} />
        <Field label="Reference (may be left out)" value={reference} onInput={setReference} focus />
      </div>
      <div class="row">
        <Button submit kind="main">Hold it aside</Button>
        <Button onClick={() => done(false)}>Leave it</Button>
      </div>
    </form>
  );
}
