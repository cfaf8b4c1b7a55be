import { useState } from 'preact/hooks';

import { Button } from '../components/Button';
import { type Bindable, clash, costOf, kBindable, keyName } from '../lib/bindings';
import { change, settings } from '../state/settings';

/** Which key does what: for a foot pedal that sends keys, or a keypad with keys to spare. Kept in this browser. */
export function KeySettings() {
  const [asking, ask] = useState<Bindable | null>(null);
  const [told, tell] = useState<{ action: Bindable; words: string } | null>(null);
  const { keys } = settings.value;
  const set = (action: Bindable, name: string | null) => {
    const others = Object.fromEntries(Object.entries(keys).filter(([each]) => each !== action));
    change({ keys: name === null ? others : { ...others, [action]: name } });
  };
  /** While a key is asked for, every key but Escape is the answer. */
  const take = (action: Bindable) => (event: KeyboardEvent) => {
    if (asking !== action) return;
    event.preventDefault();
    event.stopPropagation();
    if (event.key === 'Escape') return ask(null);
    const name = keyName(event);
    const why = clash(name, action, keys);
    tell(why === null ? costOf(name) === '' ? null : { action, words: costOf(name) } : { action, words: `Not set: ${why}` });
    if (why !== null) return;
    set(action, name);
    ask(null);
  };
  return (
    <fieldset class="key-settings">
      <legend class="kicker">Keys of a foot pedal or of your own</legend>
      <ul>
        {kBindable.map(([action, words]) => (
          <li key={action} class="row" onKeyDown={take(action)}>
            <span class="grow">{words}</span>
            <span class="mono">{keys[action] ?? ''}</span>
            <Button slim pressed={asking === action} label={`${words}: ${asking === action ? 'press the key now' : 'set a key'}`}
              onClick={() => (ask(asking === action ? null : action), tell(null))}>{asking === action ? 'Press it now' : 'Set'}</Button>
            {keys[action] !== undefined && <Button slim kind="plain" label={`${words}: no key`} onClick={() => set(action, null)}>None</Button>}
            <span role="status" class="small bad">{told?.action === action ? told.words : ''}</span>
          </li>
        ))}
      </ul>
      <p class="small soft">Accept takes what the screen suggests or what is marked. On a check “mark” goes through the outcomes, likeliest first,
        and says each aloud where speaking is on; accept marks the likeliest where none is marked.</p>
    </fieldset>
  );
}
