import { useId } from 'preact/hooks';

interface FieldProps {
  label: string;
  value: string;
  onInput: (value: string) => void;
  problem?: string | undefined;
  unit?: string;
  kind?: 'text' | 'amount' | 'date' | 'datetime-local';
  rows?: number;
  focus?: boolean;
}

/** A labelled field; what is wrong with it stands under it. */
export function Field({ label, value, onInput, problem, unit, kind = 'text', rows, focus = false }: FieldProps) {
  const id = useId();
  const shared = {
    id, value, autofocus: focus,
    onInput: (event: { currentTarget: { value: string } }) => onInput(event.currentTarget.value),
    ...(problem === undefined ? {} : { 'aria-invalid': true as const, 'aria-describedby': `${id}-problem` }),
    ref: focus ? focusOnce : null,
  };
  const input = rows === undefined
    ? <input {...shared} type={(kind === 'amount' ? 'text' : kind) as 'text'} class={kind === 'amount' ? 'amount' : ''}
        inputMode={kind === 'amount' ? 'decimal' : 'text'} autocomplete="off" />
    : <textarea {...shared} rows={rows} />;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {unit === undefined ? input : <span class="with-unit">{input}<span>{unit}</span></span>}
      {problem !== undefined && <span class="problem" id={`${id}-problem`}>{problem}</span>}
    </div>
  );
}

function focusOnce(element: HTMLElement | null): void {
  if (element !== null && element.dataset.focused === undefined) {
    element.dataset.focused = 'yes';
    element.focus();
    // A prefilled value is replaced by typing.
    if (element instanceof HTMLInputElement) element.select();
  }
}

export function Tick({ label, checked, onChange }: { label: string; checked: boolean; onChange: (checked: boolean) => void }) {
  return (
    <label class="tick">
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>{label}</span>
    </label>
  );
}

/** One of a few values. */
export function Choice<T extends string>({ label, value, options, onChange }: {
  label: string; value: T; options: readonly (readonly [T, string])[]; onChange: (value: T) => void;
}) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => onChange(event.currentTarget.value as T)}>
        {options.map(([each, words]) => <option key={each} value={each}>{words}</option>)}
      </select>
    </div>
  );
}
