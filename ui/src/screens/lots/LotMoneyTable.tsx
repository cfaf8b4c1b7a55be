import type { LotList } from '../../api';
import { Expected, Paid } from '../../components/Figures';
import { minutes, number, wholeMoney } from '../../lib/format';

type LotMoney = LotList['lots'][number]['money'];

const negative = (money: { minor: number; currency: string }) => ({ ...money, minor: -money.minor });

/** What a lot has cost and brought so far, and what it is expected to end with. */
export function LotMoneyTable({ money }: { money: LotMoney }) {
  const rows = [
    ['Paid for the lot', negative(money.paid)], ['Costs added', negative(money.costs)], ['Parts', negative(money.parts)],
    ['Sales', money.income], ['Fees', negative(money.fees)], ['Postage', negative(money.postage)], ['Taken back', negative(money.refunds)],
  ] as const;
  return (
    <table class="sums">
      <tbody>
        {rows.map(([words, amount]) => <tr key={words}><th scope="row">{words}</th><td class="money"><Paid money={amount} /></td></tr>)}
        <tr class="total"><th scope="row">Certain so far</th><td class="money"><Paid money={money.realised} /></td></tr>
        <tr><th scope="row">Expected of {money.units_open} open {money.units_open === 1 ? 'unit' : 'units'}</th>
          <td><Expected value={money.expected_open} currency={money.currency} /></td></tr>
        <tr class="total"><th scope="row">Expected in the end</th>
          <td><Expected value={money.expected_result} currency={money.currency} low={money.expected_low} high={money.expected_high} /></td></tr>
        <tr><th scope="row">At the bench so far</th><td class="money">{minutes(money.bench_minutes)}</td></tr>
        {money.result_per_hour != null && (
          <tr><th scope="row">Expected result per bench hour so far</th>
            <td class="money">{wholeMoney(money.result_per_hour, money.currency)}</td></tr>
        )}
        <tr><th scope="row">Break-even</th><td>{breakEven(money)}</td></tr>
      </tbody>
    </table>
  );
}

function breakEven(money: LotMoney): string {
  if (money.break_even === 0) return 'reached';
  if (money.break_even === null) return 'not within reach';
  return `after ${number(money.break_even, 0)} more ${money.break_even === 1 ? 'unit' : 'units'}`;
}
