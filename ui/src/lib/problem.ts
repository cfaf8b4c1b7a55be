/** What the server or the network said went wrong, as one sentence a person can act on. */
export interface ProblemDetails {
  title?: string;
  status?: number;
  detail?: string;
  problems?: { what: string; advice?: string; pointer?: string }[];
}

export class ApiError extends Error {
  /** 0: the server was not reached. */
  readonly status: number;
  readonly details: ProblemDetails;

  constructor(status: number, details: ProblemDetails) {
    super(problemWords(status, details));
    this.status = status;
    this.details = details;
  }
}

/** The request may be sent again as it is: it did not reach the server, or the server could not answer. */
export function isPassing(status: number): boolean {
  return status === 0 || status === 408 || status === 429 || status >= 500;
}

export function problemWords(status: number, details: ProblemDetails): string {
  if (status === 0) return 'The server cannot be reached.';
  const items = (details.problems ?? []).map((item) => (item.advice ? `${item.what}: ${item.advice}` : item.what));
  const said = items.length > 0 ? items.join(' ') : (details.detail ?? details.title ?? '');
  return said !== '' ? sentence(said) : `The server answered ${status}.`;
}

/** "no such unit" → "No such unit." */
export function sentence(text: string): string {
  const first = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.?]$/.test(first) ? first : `${first}.`;
}
