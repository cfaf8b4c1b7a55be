import { Button } from '../components/Button';
import { helpShown } from '../state/keyboard';

const kKeys: readonly (readonly [string, string])[] = [
  ['14 Enter', 'opens unit 14, from anywhere'],
  ['1 … 9', 'records that outcome of the step shown'],
  ['0', 'records “can’t tell”'],
  ['. then 3', 'outcome 3, but not sure; so does Shift 3'],
  ['0.412 Enter', 'records a reading; 4.7k and 412. too'],
  ['12\' or 12/', 'counts 12 minutes for the step shown'],
  ['k then 3', 'outcome 3 of the step with the letter k; 0 “can’t tell”'],
  ['14 k 3', 'the same of unit 14, from anywhere'],
  ['14 +', 'opens unit 14 at the next best step; − the third, * the fourth'],
  ['w a d s', 'sells it as working, as is, parts it out, scraps it'],
  ['+ and −', 'next and previous step of the list'],
  ['i', 'what if: shows what an outcome would lead to, records nothing'],
  ['f', 'filters the list of steps'],
  ['v', 'types a reading in its field; what a meter showed as .4 0 1.6'],
  ['l', 'chooses a meter log; or drop it anywhere'],
  ['p', 'chooses photos; or drop them anywhere'],
  ['t', 'full function test'],
  ['n', 'a note'],
  ['x', 'adds a fault, check or repair that the profile does not know yet'],
  ['z', 'undoes this bench’s own last entry; on a keypad /'],
  ['keypad *', 'gives digits to all else that can be recorded; leaves a number’s field'],
  ['/', 'finds a unit by number, serial or where it stands, a lot by name'],
  ['Enter', 'takes what is suggested'],
  ['Backspace', 'takes back the digit typed last'],
  ['Esc', 'back to the advised step; closes what is open'],
  ['?', 'this list'],
];

export function Help() {
  return (
    <section class="strip stack" aria-label="Keys">
      <dl class="keys-list">
        {kKeys.map(([key, words]) => <div key={key}><dt class="mono">{key}</dt><dd>{words}</dd></div>)}
      </dl>
      <p class="soft">A numeric keypad is enough at the bench. A scanner may be used at any time. A foot pedal’s keys are set under your name above.</p>
      <div class="row"><Button onClick={() => (helpShown.value = false)}>Close</Button></div>
    </section>
  );
}
