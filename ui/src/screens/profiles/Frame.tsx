/** What stands around every field: its label, what it means, what is wrong with it and what to do. */
import type { ComponentChildren } from 'preact';

import { plainWords } from '../../lib/profile-problems';
import { fieldId, useEditing } from './editing';

export interface FrameProps {
  pointer: string;
  label: string;
  help?: string | undefined;
  /** A group of fields gets a legend instead of a label. */
  group?: boolean;
  wide?: boolean;
  children: (attributes: Attributes) => ComponentChildren;
}

export interface Attributes {
  id: string;
  'data-at': string;
  'aria-describedby'?: string;
  'aria-invalid'?: true;
}

export function Frame({ pointer, label, help, group = false, wide = false, children }: FrameProps) {
  const { said, draft } = useEditing();
  const id = fieldId(pointer);
  const unread = draft.unread.value[pointer];
  const problems = said(pointer);
  const wrong = unread !== undefined || problems.some(({ severity }) => severity === 'error');
  const described = [help === undefined ? '' : `${id}-help`, wrong || problems.length > 0 ? `${id}-said` : ''].filter(Boolean).join(' ');
  const attributes: Attributes = {
    id, 'data-at': pointer,
    ...(described === '' ? {} : { 'aria-describedby': described }),
    ...(wrong && !group ? { 'aria-invalid': true as const } : {}),
  };
  const below = (
    <>
      {unread !== undefined && <span class="problem" id={`${id}-said`}>{unread}</span>}
      {unread === undefined && problems.length > 0 && (
        <span id={`${id}-said`}>
          {problems.map((problem, index) => <ProblemLine key={index} problem={problem} />)}
        </span>
      )}
      {help !== undefined && <span class="small soft" id={`${id}-help`}>{help}</span>}
    </>
  );
  const kind = ['field', wide || group ? 'wide' : '', wrong ? 'is-wrong' : ''].filter(Boolean).join(' ');
  if (group) {
    return (
      <div class={kind} role="group" aria-label={label} {...attributes} tabIndex={-1}>
        <span class="label" aria-hidden="true">{label}</span>
        {children(attributes)}
        {below}
      </div>
    );
  }
  return <div class={kind}><label for={id}>{label}</label>{children(attributes)}{below}</div>;
}

export function ProblemLine({ problem }: { problem: { severity?: string | undefined; what: string; advice?: string | undefined; pointer?: string | undefined } }) {
  const { what, todo } = plainWords(problem);
  const error = problem.severity === 'error';
  return (
    <span class={error ? 'problem said-line' : 'doubt said-line'}>
      <b>{error ? 'Wrong' : 'Look at this'}:</b> {what} {todo}
    </span>
  );
}
