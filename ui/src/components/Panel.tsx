import type { ComponentChildren } from 'preact';

/** A part of a screen under its own heading. `aside`: what stands at the right of the heading; `href`: where the heading leads. */
export function Panel({ title, aside, children, id, href, kind = '' }: {
  title: string; aside?: ComponentChildren; children: ComponentChildren; id?: string; href?: string; kind?: string;
}) {
  return (
    <section class={kind === '' ? 'panel' : `panel ${kind}`} {...(id === undefined ? {} : { id })} aria-label={title}>
      <header><h2>{href === undefined ? title : <a class="lot-name" href={href}>{title}</a>}</h2>{aside}</header>
      {children}
    </section>
  );
}
