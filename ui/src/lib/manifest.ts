/** What is still to be claimed of a manifest line. Pure. */
export interface LineCounts {
  missing: number;
  claimed?: readonly { count: number; date: string; reference: string }[];
}

export interface ClaimState {
  /** Missing units that nobody has claimed. */
  unclaimed: number;
  /** Empty where nothing was claimed and nothing is missing. */
  words: string;
  /** The last day has passed, or is today, with something unclaimed. */
  late: boolean;
}

/** `claimBy` and `today` as YYYY-MM-DD; null: no last day is known. */
export function claimState(line: LineCounts, claimBy: string | null | undefined, today: string): ClaimState {
  const claims = line.claimed ?? [];
  const claimed = claims.reduce((sum, claim) => sum + claim.count, 0);
  const unclaimed = Math.max(0, line.missing - claimed);
  const last = claims[claims.length - 1];
  const said = last === undefined ? '' : `${claimed} claimed, last on ${last.date}${last.reference === '' ? '' : `, ${last.reference}`}.`;
  if (unclaimed === 0) return { unclaimed, words: said, late: false };
  const late = claimBy != null && claimBy <= today;
  const when = claimBy == null ? `${unclaimed} to claim.`
    : claimBy < today ? `${unclaimed} not claimed: the last day was ${claimBy}.`
      : claimBy === today ? `${unclaimed} to claim today.` : `${unclaimed} to claim by ${claimBy}.`;
  return { unclaimed, words: [said, when].filter(Boolean).join(' '), late };
}
