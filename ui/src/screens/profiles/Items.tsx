/** A list of a profile as cards in sentences; each opens into its form in its place. */
import type { ComponentChildren } from 'preact';

import { Button } from '../../components/Button';
import { Panel } from '../../components/Panel';
import { type List, kWordsOf } from '../../lib/profile-fields';
import { emptyItem } from '../../lib/profile-new';
import { type Table, itemPath, tablesOf, textOf } from '../../lib/profile-tree';
import { useEditing } from './editing';
import { Form } from './Form';

export interface Opened { list: List; index: number }

export function Items({ list, title, aside, opened, open, card, empty }: {
  list: List; title: string; aside?: ComponentChildren; opened: Opened | null; open: (opened: Opened | null) => void;
  card: (item: Table, index: number) => ComponentChildren; empty: string;
}) {
  const { tree, edit } = useEditing();
  const items = tablesOf(tree, list);
  const what = kWordsOf[list].toLowerCase();
  const add = () => {
    edit({ edit: 'insert', path: [list], value: emptyItem(tree, list) });
    open({ list, index: items.length });
  };
  return (
    <Panel title={title} aside={aside}>
      {items.length === 0 && <p class="soft">{empty}</p>}
      <ol class="hairlines">
        {items.map((item, index) => (
          <Item key={index} list={list} item={item} index={index} count={items.length} isOpen={opened?.list === list && opened.index === index} open={open}>
            {card(item, index)}
          </Item>
        ))}
      </ol>
      <div class="row add"><Button onClick={add}>Add {/^[aeiou]/.test(what) ? 'an' : 'a'} {what}</Button></div>
    </Panel>
  );
}

function Item({ list, item, index, count, isOpen, open, children }: {
  list: List; item: Table; index: number; count: number; isOpen: boolean; open: (opened: Opened | null) => void; children: ComponentChildren;
}) {
  const { tree, edit, problems } = useEditing();
  const name = textOf(item, 'name', textOf(item, 'id')) || `${kWordsOf[list]} ${index + 1}`;
  const path = itemPath(tree, list, index);
  const wrong = problems.filter(({ severity, pointer = '' }) => severity === 'error' && (pointer === `${list}[${index}]` || pointer.startsWith(`${list}[${index}].`)));
  const move = (by: -1 | 1) => {
    edit({ edit: 'move', path, at: index + by });
    if (isOpen) open({ list, index: index + by });
  };
  return (
    <li class={isOpen ? 'step-card is-open' : 'step-card'} id={`at-${list}[${index}]`} tabIndex={-1}>
      <div class="row spread item-head">
        <h3>{name}</h3>
        <Button slim expanded={isOpen} label={`${isOpen ? 'Close' : 'Change'}: ${name}`} onClick={() => open(isOpen ? null : { list, index })}>{isOpen ? 'Close' : 'Change'}</Button>
      </div>
      {wrong.length > 0 && !isOpen && <p class="bad small">{wrong.length === 1 ? 'One thing is wrong here.' : `${wrong.length} things are wrong here.`}</p>}
      {isOpen
        ? (
          <>
            <Form table={list} path={path} index={index} />
            <div class="row item-acts">
              <Button slim why={index === 0 ? 'It is the first.' : undefined} label={`${name} earlier`} onClick={() => move(-1)}>Earlier</Button>
              <Button slim why={index === count - 1 ? 'It is the last.' : undefined} label={`${name} later`} onClick={() => move(1)}>Later</Button>
              <Button slim label={`Take it out: ${name}`} onClick={() => {
                edit({ edit: 'remove', path });
                open(null);
              }}>Take it out</Button>
            </div>
          </>
        )
        : children}
    </li>
  );
}
