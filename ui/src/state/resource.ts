import { useEffect, useRef } from 'preact/hooks';
import { type Signal, useSignal } from '@preact/signals';

import { get } from '../api';
import { type Subject, touches } from '../lib/leader';
import { onChange } from './stream';

export interface Resource<T> {
  /** The last that was read; kept while a newer one is on its way or failed. */
  data: T | null;
  error: Error | null;
  loading: boolean;
  reload: () => void;
}

/** Reads a view and keeps it true: it is read again when an entry changes what it shows.
 * `about`: the subject that it shows, null for views of many. */
export function useResource<T>(path: string, about: (data: T) => Subject | null = () => null): Signal<Resource<T>> {
  const resource = useSignal<Resource<T>>({ data: null, error: null, loading: true, reload: () => undefined });
  const narrow = useRef(about);
  narrow.current = about;
  useEffect(() => {
    let abort = new AbortController();
    const read = () => {
      abort.abort();
      abort = new AbortController();
      const { signal } = abort;
      resource.value = { ...resource.value, loading: true, reload: read };
      get<T>(path, signal).then(
        (data) => (resource.value = { data, error: null, loading: false, reload: read }),
        (error: unknown) => {
          if (signal.aborted) return;
          resource.value = { ...resource.value, error: error instanceof Error ? error : new Error(String(error)), loading: false };
        },
      );
    };
    resource.value = { data: null, error: null, loading: true, reload: read };
    read();
    const stop = onChange((change) => {
      const { data } = resource.peek();
      if (data === null || touches(change, narrow.current(data))) read();
    });
    return () => {
      stop();
      abort.abort();
    };
  }, [path]);
  return resource;
}
