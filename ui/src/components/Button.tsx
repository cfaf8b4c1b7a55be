import type { ComponentChildren } from 'preact';

export interface ButtonProps {
  children: ComponentChildren;
  onClick?: () => void;
  /** Its key, shown on it. */
  keyed?: string | number;
  kind?: 'main' | 'plain';
  slim?: boolean;
  /** Why it cannot be pressed now; it stays reachable, so that the reason can be read. */
  why?: string | undefined;
  pressed?: boolean;
  expanded?: boolean;
  submit?: boolean;
  label?: string;
}

export function Button({ children, onClick, keyed, kind, slim = false, why, pressed, expanded, submit = false, label }: ButtonProps) {
  const classes = ['button', kind, slim ? 'slim' : undefined].filter(Boolean).join(' ');
  return (
    <button type={submit ? 'submit' : 'button'} class={classes} onClick={why === undefined ? onClick : undefined}
      {...(why === undefined ? {} : { 'aria-disabled': true, title: why })}
      {...(pressed === undefined ? {} : { 'aria-pressed': pressed })}
      {...(expanded === undefined ? {} : { 'aria-expanded': expanded })}
      {...(label === undefined ? {} : { 'aria-label': label })}>
      {keyed !== undefined && <span class="key" aria-hidden="true">{keyed}</span>}
      <span>{children}</span>
    </button>
  );
}
