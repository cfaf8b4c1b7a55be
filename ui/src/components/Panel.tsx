import type { ComponentChildren } from 'preact';

/** A part of a screen under its own heading. `aside`: what stands at the right of the heading. */
export function Panel({ title, aside, children, id }: {
  title: string; aside?: ComponentChildren; children: ComponentChildren; id?: string;
}) {
  return (
    <section class="panel" {...(id === undefined ? {} : { id })} aria-label={title}>
      <header><h2>{title}</h2>{aside}</header>
      {children}
    </section>
  );
}
