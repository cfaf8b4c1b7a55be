/** What the parts of the profile's forms share: the draft, its tree, and how to change it. */
import { createContext } from 'preact';
import { useContext } from 'preact/hooks';

import type { ProfileView } from '../../api';
import { type Edit, type Path, type Table, type Value, pointerOf, valueAt } from '../../lib/profile-tree';
import { missingKey } from '../../lib/profile-problems';
import type { Problem, ProfileDraft } from '../../state/profile-draft';
import { showsMoney } from '../../state/settings';

export interface Editing {
  draft: ProfileDraft;
  view: ProfileView;
  tree: Table;
  problems: readonly Problem[];
  money: boolean;
  currency: string;
}

export const EditingContext = createContext<Editing | null>(null);

export interface Hand extends Editing {
  at: (path: Path) => Value | undefined;
  set: (path: Path, value: Value) => void;
  /** Takes out what is there; nothing is done where nothing is. */
  remove: (path: Path) => void;
  edit: (...edits: Edit[]) => void;
  pointer: (path: Path) => string;
  /** The problems of exactly this place. */
  said: (pointer: string) => Problem[];
}

export function useEditing(): Hand {
  const editing = useContext(EditingContext);
  if (editing === null) throw new Error('useEditing outside a profile');
  const { draft, tree, problems } = editing;
  return {
    ...editing,
    at: (path) => valueAt(tree, path),
    set: (path, value) => draft.edit({ edit: 'set', path, value }),
    remove: (path) => valueAt(tree, path) !== undefined && draft.edit({ edit: 'remove', path }),
    edit: (...edits) => draft.edit(...edits),
    pointer: (path) => pointerOf(tree, path),
    said: (pointer) => problems.filter((problem) => missingKey(problem) === pointer),
  };
}

export const seesMoney = showsMoney;

/** The element id of a field, so that a problem can lead to it. */
export const fieldId = (pointer: string): string => `at-${pointer}`;
