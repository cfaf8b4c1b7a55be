import { Button } from '../components/Button';
import { helpShown } from '../state/keyboard';

const kKeys: readonly (readonly [string, string])[] = [
  ['14 Enter', 'opens unit 14, from anywhere'],
  ['14 +', 'opens unit 14 at the next best step; − the third, * the fourth'],
  ['1 … 9', 'records that outcome of the advised step'],
  ['0', 'records “can’t tell”'],
  ['. then 3', 'outcome 3, but not sure; so does Shift 3; the same before a letter'],
  ['b … y', 'records the outcome of another step that has this letter'],
  ['w a d s', 'sells it as working, as is, parts it out, scraps it'],
  ['+ and −', 'next and previous step of the list'],
  ['f', 'filters the list of steps'],
  ['v', 'types a reading'],
  ['l', 'chooses a meter log; or drop it anywhere'],
  ['t', 'full function test'],
  ['n', 'a note'],
  ['z', 'undoes this bench’s own last entry'],
  ['/', 'finds a unit or a lot'],
  ['Enter', 'takes what is suggested'],
  ['Esc', 'back to the advised step; closes what is open'],
  ['?', 'this list'],
];

export function Help() {
  return (
    <section class="strip stack" aria-label="Keys">
      <dl class="keys-list">
        {kKeys.map(([key, words]) => <div key={key}><dt class="mono">{key}</dt><dd>{words}</dd></div>)}
      </dl>
      <p class="soft">A numeric keypad is enough at the bench. A scanner may be used at any time.</p>
      <div class="row"><Button onClick={() => (helpShown.value = false)}>Close</Button></div>
    </section>
  );
}
