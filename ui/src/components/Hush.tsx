/** The screens' quiet states: loading, failed, empty. */
import type { ComponentChildren } from 'preact';

import { ApiError } from '../lib/problem';
import { Button } from './Button';

export function Loading({ what }: { what: string }) {
  return (
    <div role="status">
      <span class="unseen">Reading {what}.</span>
      <div class="waiting-bars" aria-hidden="true"><i /><i /><i /></div>
    </div>
  );
}

/** A view could not be read. */
export function Failed({ what, error, again }: { what: string; error: Error; again: () => void }) {
  const away = error instanceof ApiError && error.status === 0;
  return (
    <div class="hush" role="alert">
      <h1>{away ? 'The server cannot be reached' : `No ${what} to show`}</h1>
      <p>{away
        ? 'What you recorded is kept here and sent when it answers. Check that this device is on the shop\u2019s network and that the server runs.'
        : error.message}</p>
      <Button onClick={again}>Try again</Button>
    </div>
  );
}

export function Empty({ title, children }: { title: string; children: ComponentChildren }) {
  return <div class="hush"><h1>{title}</h1>{children}</div>;
}

/** A newer version could not be read; what stands here is older. */
export function Stale({ error, again }: { error: Error; again: () => void }) {
  return (
    <div class="row small bad" role="status">
      <span>What you see may be old: {error.message}</span>
      <Button slim onClick={again}>Read again</Button>
    </div>
  );
}
