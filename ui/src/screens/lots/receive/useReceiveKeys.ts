/** Keys while units are gone through. They come before the keys of the rest of the client: here a scan is a serial, not a
 * unit to open. */
import { useEffect, useRef } from 'preact/hooks';

import { type ReceiveAct, kNoKeys, receiveElapse, receivePress } from '../../../lib/receiving';

const kClockMs = 20;

const isField = (element: EventTarget | null) => element instanceof HTMLElement
  && (/^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName) || element.isContentEditable);

export function useReceiveKeys(perform: (act: ReceiveAct) => void): void {
  const latest = useRef(perform);
  latest.current = perform;
  useEffect(() => {
    let state = kNoKeys;
    const take = (acts: readonly ReceiveAct[]) => acts.forEach((act) => latest.current(act));
    const press = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.repeat || isField(event.target)) return;
      // Enter on a button presses it, unless a scan comes to its end there.
      const onControl = event.target instanceof Element && event.target.closest('button, a, summary') !== null;
      if ((event.key === 'Enter' || event.key === ' ') && onControl && state.typed === '') return;
      const step = receivePress(state, event.key, performance.now());
      state = step.state;
      if (step.taken) {
        event.preventDefault();
        event.stopImmediatePropagation();
      }
      take(step.acts);
    };
    const clock = setInterval(() => {
      const passed = receiveElapse(state, performance.now());
      state = passed.state;
      take(passed.acts);
    }, kClockMs);
    addEventListener('keydown', press, { capture: true });
    return () => {
      clearInterval(clock);
      removeEventListener('keydown', press, { capture: true });
    };
  }, []);
}
