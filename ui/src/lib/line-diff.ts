/** What changed between two texts, line by line. Pure. */
export interface Line { kind: 'same' | 'out' | 'in'; text: string; line: number }

/** The longest common subsequence of lines, between what is the same at both ends. Cost: changed lines squared. */
export function lineDiff(before: string, after: string): Line[] {
  const a = before.split('\n');
  const b = after.split('\n');
  let start = 0;
  while (start < a.length && start < b.length && a[start] === b[start]) ++start;
  let end = 0;
  while (end < a.length - start && end < b.length - start && a[a.length - 1 - end] === b[b.length - 1 - end]) ++end;
  const inner = middle(a.slice(start, a.length - end), b.slice(start, b.length - end));
  return inner.map((line) => ({ ...line, line: line.line + start + 1 }));
}

function middle(a: string[], b: string[]): Line[] {
  const width = b.length + 1;
  const longest = new Uint32Array((a.length + 1) * width);
  for (let i = a.length - 1; i >= 0; --i) {
    for (let j = b.length - 1; j >= 0; --j) {
      longest[i * width + j] = a[i] === b[j] ? (longest[(i + 1) * width + j + 1] ?? 0) + 1
        : Math.max(longest[(i + 1) * width + j] ?? 0, longest[i * width + j + 1] ?? 0);
    }
  }
  const lines: Line[] = [];
  let i = 0;
  let j = 0;
  while (i < a.length || j < b.length) {
    if (i < a.length && j < b.length && a[i] === b[j]) {
      lines.push({ kind: 'same', text: a[i] ?? '', line: j });
      ++i;
      ++j;
    } else if (i < a.length && (j >= b.length || (longest[(i + 1) * width + j] ?? 0) >= (longest[i * width + j + 1] ?? 0))) {
      lines.push({ kind: 'out', text: a[i] ?? '', line: j });
      ++i;
    } else {
      lines.push({ kind: 'in', text: b[j] ?? '', line: j });
      ++j;
    }
  }
  return lines;
}

/** Only what changed, with `around` lines on each side; `null` where lines are left out. */
export function changedLines(lines: readonly Line[], around = 1): (Line | null)[] {
  const near = lines.map((_, index) => lines.slice(Math.max(0, index - around), index + around + 1).some(({ kind }) => kind !== 'same'));
  return lines.flatMap((line, index) => (near[index] ? [line] : near[index - 1] ? [null] : []));
}
