// What there is to see in the demo shop: its screens, one unit of each state, and units whose next step is a check.
import { get, settledNow } from '../../api/support/client.mjs';

const kStates = ['sold', 'donor', 'held-aside', 'put-aside', 'waiting', 'proved', 'scrapped', 'as-is'];

/** {screens: [name, path][], checked: unit views whose next step is a check, most outcomes first}. */
export async function demo(server) {
  const now = await settledNow(server);
  const [lots, profiles] = await Promise.all(['/lots', '/profiles'].map(async (path) => (await get(server, path)).json));
  const [lot] = lots.lots;
  const trays = (await get(server, `/lots/${lot.id}`)).json.units;
  const views = [];
  for (const { number } of now.rows) views.push((await get(server, `/units/${number}`)).json);
  const outcomes = ({ checks, advice }) => checks.find(({ id }) => id === advice.next.id).outcomes.length;
  const checked = views.filter(({ advice }) => advice?.next.kind === 'check').sort((a, b) => outcomes(b) - outcomes(a));
  const states = kStates.flatMap((state) => {
    const tray = trays.find((each) => each.state.id === state);
    return tray === undefined ? [] : [[`unit ${state}`, `/units/${tray.number}`]];
  });
  return {
    checked,
    screens: [['now', '/now'], ['lots', '/lots'], ['lot', `/lots/${lot.id}`], ['money', '/money'], ['profiles', '/profiles'],
      ['profile', `/profiles/${profiles.profiles[0].id}`], ['unit', `/units/${checked[0].unit.number}`], ['nothing', '/nowhere'], ...states],
  };
}
