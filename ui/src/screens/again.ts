import { useEffect, useRef } from 'preact/hooks';

const kPauseMs = 1500;

/** Reads a view again every little while, as long as the server says that a part of it is still being worked out. */
export function useAgain(pending: boolean, reload: () => void): void {
  const latest = useRef(reload);
  latest.current = reload;
  useEffect(() => {
    if (!pending) return;
    const timer = setInterval(() => document.visibilityState === 'visible' && latest.current(), kPauseMs);
    return () => clearInterval(timer);
  }, [pending]);
}
