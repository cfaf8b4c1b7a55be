import { useEffect, useRef, useState } from 'preact/hooks';

import type { LotView, Tray } from '../../../api';
import { Button } from '../../../components/Button';
import { Field } from '../../../components/Field';
import { PhotoPicker, PhotosOnTheWay } from '../../../components/PhotoPicker';
import { Tape } from '../../../components/Tape';
import { type ReceiveAct, beside, conditionParts, conditionText, identifiedBody, kLooks, serialTwin } from '../../../lib/receiving';
import { useBenchOpen } from '../../../state/benches';
import { append, undoLast } from '../../../state/journal';
import { say } from '../../../state/notices';
import { HoldAside } from './HoldAside';
import { useReceiveKeys } from './useReceiveKeys';

/** What was noted here of a unit, until the view shows it too. Kept outside the drawing, as a key and a scan may come within
 * one frame. */
interface Notes {
  number: number;
  of: Map<string, { serial: string; condition: string; sequence: number }>;
}
type Form = 'serial' | 'words' | 'hold' | null;

/** Unit by unit: a scan fills the serial and moves on, a digit notes a look, a letter opens what is less common. */
export function GoThrough({ view, units, close }: { view: LotView; units: readonly Tray[]; close: () => void }) {
  const notes = useRef<Notes>({ number: (units.find((each) => each.serial === '') ?? units[0])?.number ?? 0, of: new Map() });
  const [, draw] = useState(0);
  const [form, setForm] = useState<Form>(null);
  const doubled = useRef('');
  const camera = useRef<(() => void) | null>(null);
  const list = useRef<HTMLDivElement>(null);
  const { number } = notes.current;
  useEffect(() => list.current?.querySelector<HTMLElement>('.rung.here')?.scrollIntoView({ block: 'nearest' }), [number]);

  const withNotes = (unit: Tray) => {
    const noted = notes.current.of.get(unit.id);
    return noted !== undefined && noted.sequence > view.sequence ? { ...unit, ...noted } : unit;
  };
  const shown = () => {
    const tray = units.find((each) => each.number === notes.current.number) ?? units[0];
    return tray === undefined ? undefined : withNotes(tray);
  };
  const unit = shown();

  /** Notes it here at once and sends what is new of it. */
  const note = (serial: string, condition: string) => {
    const of = shown();
    const body = of === undefined ? null : identifiedBody(of, serial, condition);
    if (of === undefined || body === null) return;
    const noted = { serial, condition, sequence: Infinity };
    notes.current.of.set(of.id, noted);
    draw((times) => times + 1);
    const words = [serial, condition].filter(Boolean).join(', ');
    void append([{ subject: { kind: 'unit', id: of.id }, kind: 'identified', body }], `unit ${of.number}: ${words}`)
      .then((accepted) => (noted.sequence = accepted?.sequence ?? 0));
  };
  const goTo = (to: number) => {
    setForm(null);
    doubled.current = '';
    notes.current.number = to;
    draw((times) => times + 1);
  };
  const move = (by: 1 | -1) => {
    const to = beside(units, notes.current.number, by);
    if (to !== undefined) return goTo(to.number);
    if (by === -1) return;
    say({ tone: 'good', text: 'That was the last one: all of these were gone through.' });
    close();
  };
  const takeSerial = (text: string) => {
    const of = shown();
    if (of === undefined) return;
    const serial = text.trim();
    const twin = serialTwin(view.units.map(withNotes), of, serial);
    if (twin !== undefined && doubled.current !== serial) {
      doubled.current = serial;
      return say({ tone: 'bad', text: `${serial} is the serial of unit ${twin.number} already: the same unit twice? Scan it again to note it all the same.` });
    }
    note(serial, of.condition);
    say({ tone: 'good', text: `Unit ${of.number}: ${serial}` });
    move(1);
  };
  const toggle = (index: number) => {
    const of = shown();
    if (of === undefined) return;
    const { looks, words } = conditionParts(of.condition);
    if (!looks.delete(index)) looks.add(index);
    note(of.serial, conditionText(looks, words));
  };
  const perform = (act: ReceiveAct) => {
    switch (act.act) {
      case 'serial': return takeSerial(act.text);
      case 'look': return toggle(act.index);
      case 'next': return move(1);
      case 'back': return move(-1);
      case 'leave': return form === null ? close() : setForm(null);
      case 'letter': return letter(act.letter);
    }
  };
  const letter = (sign: string) => {
    if (sign === 's') setForm('serial');
    else if (sign === 'c') setForm('words');
    else if (sign === 'h') setForm('hold');
    else if (sign === 'p') camera.current?.();
    else if (sign === 'z') void undoLast();
  };
  useReceiveKeys(perform);
  // A phone on its camera page sends its photos to the unit that stands here.
  useBenchOpen(unit?.id ?? '');

  if (unit === undefined) return null;
  const parts = conditionParts(unit.condition);
  const left = units.filter((each) => withNotes(each).serial === '').length;
  return (
    <section class="panel receive" aria-label="Receive units">
      <header class="row spread">
        <h2>Receive units: go through them</h2>
        <span class="row small"><span role="status">{left === 0 ? 'All have a serial.' : `${left} of ${units.length} without a serial.`}</span>
          <Button slim onClick={close}>Done</Button></span>
      </header>
      <div class="receive-columns">
        <div class="stack">
          <Tape number={unit.number} name={unit.name} state={unit.state} large here />
          <p class="receive-serial">
            {unit.serial === '' ? <span class="soft">Scan its serial.</span> : <><span class="soft">Serial</span> <b class="mono">{unit.serial}</b></>}
          </p>
          <div class="looks" role="group" aria-label="What it looks like">
            {kLooks.map((look, index) => (
              <Button key={look} keyed={index + 1} pressed={parts.looks.has(index)} onClick={() => toggle(index)}>{look}</Button>
            ))}
          </div>
          {parts.words !== '' && <p>{parts.words}</p>}
          <div class="row">
            <Button keyed="s" expanded={form === 'serial'} onClick={() => setForm('serial')}>Type the serial</Button>
            <Button keyed="c" expanded={form === 'words'} onClick={() => setForm('words')}>Other words</Button>
            <Button keyed="h" expanded={form === 'hold'} onClick={() => setForm('hold')}>Hold aside</Button>
            <PhotoPicker unit={unit} words="Photo" keyed="p" open={camera} />
          </div>
          <PhotosOnTheWay unit={unit} />
          {form === 'serial' && <OneField key={number} label={`Serial of unit ${number}`} start={unit.serial} take={takeSerial} leave={() => setForm(null)} />}
          {form === 'words' && (
            <OneField key={number} label={`What else is to be said of unit ${number}`} start={parts.words} leave={() => setForm(null)} take={(words) => {
              note(unit.serial, conditionText(parts.looks, words));
              setForm(null);
            }} />
          )}
          {form === 'hold' && <HoldAside key={number} unit={unit} done={() => setForm(null)} />}
          <div class="row">
            <Button kind="main" keyed="⏎" onClick={() => move(1)}>Next unit</Button>
            <Button onClick={() => move(-1)} {...(beside(units, number, -1) === undefined ? { why: 'This is the first one.' } : {})}>Back</Button>
          </div>
          <p class="soft small">A scan fills the serial and moves on; a phone on its camera page photographs this unit. <span class="mono">⌫</span> goes back, <span class="mono">z</span> undoes, <span class="mono">Esc</span> ends.</p>
        </div>
        <div ref={list}>
          <ol class="rungs" aria-label="Units to go through">
            {units.map(withNotes).map((each) => (
              <li key={each.id}>
                <button type="button" class={each.number === number ? 'rung here' : 'rung'} aria-current={each.number === number} onClick={() => goTo(each.number)}>
                  <b class="mono">{each.number}</b>
                  <span class="mono">{each.serial || '–'}</span>
                  <span class="soft small">{each.state.id === 'held-aside' ? 'held aside' : each.condition}</span>
                </button>
              </li>
            ))}
          </ol>
        </div>
      </div>
    </section>
  );
}

function OneField({ label, start, take, leave }: { label: string; start: string; take: (text: string) => void; leave: () => void }) {
  const [text, setText] = useState(start);
  return (
    <form class="row" onSubmit={(event) => {
      event.preventDefault();
      take(text);
    }}>
      <div class="grow"><Field label={label} value={text} onInput={setText} focus /></div>
      <Button submit kind="main">Note it</Button>
      <Button onClick={leave}>Leave it</Button>
    </form>
  );
}
