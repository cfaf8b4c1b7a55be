// The story of the demo: five weeks of an invented workshop with two lots of an invented handheld. Makers, models, sellers, people,
// serials and amounts are invented. make-demo.mjs plays it into an empty server; every line of a unit is a deed of that file.

const f = (check, outcome, minutes, sure) => ['find', check, outcome, { minutes, ...(sure === undefined ? {} : { sure }) }];
const log = (file, outcome, minutes = 2.5) => ['log', file, 'charge-current', outcome, minutes];
const fix = (repair, minutes, ...parts) => ['repair', repair, minutes, parts];
const note = (text) => ['note', text];

/** The looks before any power, the same for every sound unit. */
const looks = ({ body = 'tidy', glass = 'whole', port = 'clear' } = {}) => [
  f('cell-look', 'sound', 0.6), f('case-look', body, 0.6), f('glass-look', glass, 0.4), f('port-look', port, 0.8),
];
/** Lead off, cell judged: what stands before anything is measured or soldered. */
const opened = ({ plug = 'clean', dot = 'white' } = {}) => [
  f('cell-open-look', 'flat', 3.4), f('liquid-dot', dot, 0.4), f('lead-off', plug, 1.1),
];
/** The basic check after a repair. */
const basic = (minutes = 2.5) => [f('charge-current', 'healthy', minutes), f('screen-look', 'picture', 1.0), ['mended']];
const small = [f('key-test', 'all-good', 1.5), f('slot-radio', 'all-good', 2.2)];
const charging = ['wait', 'Charging to full for the test sheet, somebody in the room', 170];
const proved = (grade, price) => [['waitOver'], ['test'], ['grade', grade], ['offer', price, 'own web shop']];

const battery = ['battery-h1', 1, 10.5];
const adhesive = ['adhesive-set-h1', 1, 0.8];

async function lotOneArrives(shop) {
  shop.day(0, '09:10');
  await shop.buy({
    key: 'one', name: 'Plover pallet, January', seller: 'Northgate Returns', day: 0, price: 430,
    lines: [
      { id: 'rev-a', profile: 'plover-h1', model: 'Hazelrook Plover H1', revision: 'a', declared: 14 },
      { id: 'rev-b', profile: 'plover-h1', model: 'Hazelrook Plover H1', revision: 'b', declared: 11 },
    ],
    note: 'Sold as "no power, untested". The seller says: some dropped, none wet.',
  });
  shop.day(2, '08:40');
  await shop.cost('one', 'Freight, one half pallet', 38.5);
  const serials = (from, count) => Array.from({ length: count }, (_, index) => `PH1-${from + index * 37}`);
  await shop.receive('one', 'rev-a', 1, serials(40211, 14), {
    2: 'no sign of life', 5: 'sticky at the vents, smells sweet', 8: 'one deep dent', 9: 'back stands off by two millimetres',
    11: 'scorched smell at the port',
  });
  await shop.receive('one', 'rev-b', 15, [...serials(61020, 8), null, 'PH1-61353'], {
    19: 'dropped on a corner, glass and shell broken', 23: 'opened, four screws and the battery gone', 24: 'deep scratches',
  });
}

async function firstWeek(shop) {
  shop.who(0);
  shop.day(2, '10:00');
  await shop.unit(1, ...looks({ port: 'dirty' }), fix('clean-port', 3.5), log('healthy.csv', 'healthy', 5),
    f('screen-look', 'picture', 1.0), ['mended'], ...small, charging);
  await shop.unit(2, ...looks(), log('stuck-slow.csv', 'slow-stuck', 4), f('screen-look', 'dead', 1.0),
    note('Second charger and cable: the same 0.43 A.'));
  shop.who(1);
  await shop.unit(9, f('cell-look', 'lifted', 0.5), note('Not charged, not pressed. In the sand box since 10:40; Ada opens it.'));
  await shop.unit(5, f('cell-look', 'wet', 0.6), f('case-look', 'tidy', 0.6), f('glass-look', 'whole', 0.4),
    note('The seller said none wet. Claim in time, with photographs.'));
  await shop.unit(10, ...looks(), f('charge-current', 'healthy', 2.2), f('screen-look', 'picture', 1.0),
    note('An account is bound to it. The start page asks for its owner.'),
    ['hold', 'Account-locked', 'Owner lock of the start page', 2, 'Request NR-2207 to the seller']);
  await shop.unit(20, f('cell-look', 'sound', 0.6), f('case-look', 'tidy', 0.6), f('port-look', 'bent', 0.8),
    ['strike', 'Wrong tray: that was number 7'], f('glass-look', 'whole', 0.4), f('port-look', 'clear', 0.8),
    f('charge-current', 'healthy', 2.1), f('screen-look', 'picture', 1.0));
  await shop.unit(7, ...looks({ port: 'bent' }), log('dark.csv', 'meter-dark', 3), f('plug-flip', 'differs', 1.0));

  shop.who(0);
  shop.day(3, '08:30');
  await shop.unit(2, ...opened(), f('cell-volts', 'low', 0.8), note('1.9 V. Below the lower limit: replaced, not revived.'),
    ['confirm', 'battery-dead'], fix('swap-battery', 6.5, battery), ...basic(2.5), charging);
  await shop.unit(9, f('cell-open-look', 'puffed', 3.5), f('lead-off', 'crust', 1.0), f('board-look', 'burnt', 9.5),
    note('A hole burnt through the board beside the charger. Cell to licensed collection as damaged.'), ['scrap', -1.5]);
  await shop.unit(4, ...looks({ body: 'dented', glass: 'bleeding' }), f('charge-current', 'healthy', 2.0),
    f('screen-look', 'bad-picture', 1.0), ...opened(), fix('swap-display', 12, ['display-h1', 1, 23], adhesive), ...basic(),
    ...small, charging);
  shop.who(1);
  await shop.unit(20, ...small, f('warm-run', 'cool', 1.5), charging);
  shop.day(3, '14:30');
  await shop.unit(1, ...proved('b', 92));
  shop.day(4, '09:00');
  await shop.unit(2, ...proved('a', 102));
  await shop.unit(4, ...proved('b', 94));
  await shop.unit(20, ...proved('b', 92));
}

async function secondWeek(shop) {
  shop.who(0);
  shop.day(7, '08:35');
  await shop.unit(7, ...opened(), f('rail-ohms', 'free', 1.0), f('port-diode', 'pins-odd', 11),
    fix('swap-port', 23, ['port-usbc-16', 1, 1.1]), f('rail-ohms', 'free', 0.8), f('port-diode', 'as-good', 2.5), ...basic(), ...small,
    charging);
  await shop.unit(6, ...looks(), log('wandering.txt', 'wanders', 3), f('screen-look', 'dead', 1.0), ...opened({ dot: 'pink' }),
    f('rail-ohms', 'short', 1.0), note('0.7 ohm behind the large coil; the known-good board reads 380.'));
  shop.who(1);
  await shop.unit(8, ...looks({ body: 'dented' }), f('charge-current', 'healthy', 2.2), f('screen-look', 'dead', 1.0), ...opened(),
    f('rail-ohms', 'free', 1.0), f('good-battery', 'stays-dead', 2.4), f('board-look', 'clean', 9));
  await shop.unit(3, ...looks(), f('charge-current', 'healthy', 2.0), f('screen-look', 'picture', 1.0), f('key-test', 'drift', 1.5),
    ...opened(), fix('swap-sticks', 8.5, ['stick-h1', 2, 2.2]), f('key-test', 'all-good', 1.4), ['mended'],
    f('slot-radio', 'all-good', 2), charging);
  shop.day(7, '15:40');
  await shop.unit(1, ['sell', 'working', 91, 7.5, 11]);
  await shop.unit(7, ...proved('b', 93));

  shop.who(0);
  shop.day(8, '08:30');
  await shop.unit(6, f('heat-hunt', 'small-part', 12.5), fix('clear-rail', 16, ['capacitor-set', 1, 0.3]),
    f('rail-ohms', 'free', 0.8), note('Short gone at the same point: 372 ohm.'), f('good-battery', 'starts', 4), ...basic(3), ...small,
    charging);
  await shop.unit(8, note('Rails right, clock missing, processor cold. Not for this bench.'), ['confirm', 'core-dead'],
    ['partOut', ['display', 'housing', 'radio', 'fan'], 21]);
  shop.who(1);
  await shop.unit(3, ...proved('b', 90));
  await shop.unit(2, ['sell', 'working', 99, 7.5, 10]);
  await shop.unit(15, ...looks(), f('charge-current', 'healthy', 2.0), f('screen-look', 'logo-stuck', 1.2), fix('reload-system', 4.5),
    f('screen-look', 'picture', 1.0), ['mended'], ...small, charging);
  await shop.unit(19, ...looks({ body: 'cracked', glass: 'bleeding', port: 'loose' }),
    note('Port torn off, panel and shell broken, cell sound. Sold as it is to a tinkerer who fetches it.'),
    ['offer', 24, 'notice board'], ['sell', 'as-is', 22, 0, 8]);
  shop.day(9, '10:00');
  await shop.unit(6, ...proved('c', 79));
  await shop.unit(15, ...proved('a', 98));
  await shop.unit(4, ['sell', 'working', 94, 7.5, 10]);
}

async function thirdWeek(shop) {
  shop.who(1);
  shop.day(14, '08:40');
  await shop.unit(20, ['sell', 'working', 89, 7.5, 9]);
  await shop.unit(3, ['sell', 'working', 89, 7.5, 10]);
  await shop.unit(21, ...looks({ body: 'opened' }), f('charge-current', 'healthy', 2.0), f('screen-look', 'dark-sound', 1.2),
    f('torch-look', 'none', 0.5), f('plugs-look', 'display-plug', 4), f('lead-off', 'clean', 1), fix('seat-display', 8), ...basic(),
    ...small, charging);
  await shop.unit(24, ...looks({ port: 'dirty' }), fix('clean-port', 3), f('charge-current', 'healthy', 2.2),
    f('screen-look', 'picture', 1.0), f('key-test', 'keys-miss', 1.8), ...opened(), fix('clean-buttons', 8),
    f('key-test', 'all-good', 1.5), ['mended'], f('slot-radio', 'all-good', 2), charging);
  shop.who(0);
  await shop.unit(11, ...looks({ port: 'dirty' }), f('charge-current', 'wanders', 2.4), f('screen-look', 'dead', 1.0), ...opened(),
    f('rail-ohms', 'short', 1.0), f('port-diode', 'video-odd', 11), f('heat-hunt', 'video-chip', 6),
    fix('swap-video-chip', 31, ['video-chip-h1', 1, 4.4]), f('rail-ohms', 'low', 1.0),
    note('A pad came off with the old chip; the jumper holds, the rail is still too low.'),
    ['putAside', 'Second try on lifted pads: too risky now. Board only, when chips are here in numbers']);
  shop.day(14, '15:30');
  await shop.unit(21, ...proved('b', 92));
  await shop.unit(24, ...proved('c', 80));
  await shop.unit(7, ['sell', 'working', 93, 7.5, 10]);

  shop.day(16, '09:00');
  shop.who(0);
  await shop.unit(5, f('cell-open-look', 'flat', 3.6), f('liquid-dot', 'pink', 0.4), f('lead-off', 'crust', 1.0),
    f('rail-ohms', 'low', 1.0), f('board-look', 'crust', 9), note('Crust under every shield. The cell came out and went to collection.'),
    ['missing', 'battery'], ['offer', 20, 'parts notice'], ['sell', 'as-is', 19, 7.5, 9]);
  await shop.unit(15, ['sell', 'working', 96, 7.5, 10]);
  shop.who(1);
  await shop.unit(13, ...looks(), log('stuck-slow.csv', 'slow-stuck', 4), f('screen-look', 'picture', 1.0),
    f('long-charge', 'stays-slow', 4));
  await shop.unit(14, ...looks({ body: 'dented' }), log('healthy.csv', 'healthy', 5), f('screen-look', 'picture', 1.0), ...small,
    f('warm-run', 'hot-loud', 1.6), ...opened(), fix('renew-paste', 8, ['thermal-paste', 1, 0.4]), f('warm-run', 'cool', 1.5),
    ['mended'], charging);
}

async function fourthWeek(shop) {
  shop.who(1);
  shop.day(21, '08:45');
  await shop.unit(6, ['sell', 'working', 78, 7.5, 10]);
  await shop.unit(21, ['sell', 'working', 90, 7.5, 10]);
  await shop.unit(14, ['waitOver'], ['test', { failed: ['card'] }], note('Reads the card, but does not write it once it is warm.'),
    ['confirm', 'card-slot-bad'], f('lead-off', 'clean', 4), fix('swap-card-slot', 4.5, ['card-slot-h1', 1, 4.5]),
    f('slot-radio', 'all-good', 4), ['mended'], charging);
  shop.who(0);
  await shop.unit(3, ['takeBack', 89, 7.5, 'Right stick creeps after an hour of play'], f('key-test', 'drift', 2.5),
    note('Drifts when warm: it is the board side of the stick. Sold again as it is, said openly.'));
  await shop.unit(12, ...looks(), f('charge-current', 'nothing', 2.4), f('plug-flip', 'same', 1.0),
    ...opened({ plug: 'crust', dot: 'pink' }), f('rail-ohms', 'free', 1.0), f('fuse-ohms', 'whole', 0.6));
  shop.day(22, '09:30');
  shop.who(1);
  await shop.unit(14, ...proved('b', 92));
  await shop.unit(3, ['offer', 36, 'notice board'], ['sell', 'as-is', 34, 7.5, 8]);
  await shop.unit(24, ['sell', 'working', 80, 7.5, 10]);
  await shop.unit(16, ...looks(), log('wandering.txt', 'wanders', 3), f('screen-look', 'dead', 1.0),
    f('cell-open-look', 'flat', 3.5), f('liquid-dot', 'pink', 0.5, 0.6), f('lead-off', 'clean', 1.1));
  await shop.unit(22, ...looks({ body: 'opened' }), log('pulsing.tsv', 'pulses', 3), f('plugs-look', 'handled', 4.2));
}

async function lotTwoArrives(shop) {
  shop.who(0);
  shop.day(29, '09:20');
  await shop.buy({
    key: 'two', name: 'Mixed dozen, February', seller: 'Tallow Street Clearance', day: 28, price: 186,
    lines: [
      { id: 'plover', profile: 'plover-h1', model: 'Hazelrook Plover H1', revision: 'b', declared: 10 },
      { id: 'unknown', model: 'No label, wider shell, not known here', declared: 2 },
    ],
    note: 'Sold "for parts". Two of them are no Plover.',
  });
  shop.day(31, '08:40');
  await shop.cost('two', 'Freight, two boxes', 21.9);
  const serials = Array.from({ length: 10 }, (_, index) => `PH1-${72404 + index * 19}`);
  await shop.receive('two', 'plover', 25, serials, { 26: 'back stands off', 27: 'display and bezel gone' });
  await shop.receive('two', 'unknown', 35, [null, null], { 35: 'wider shell, no label', 36: 'wider shell, two screws missing' });
}

async function fifthWeek(shop) {
  shop.who(1);
  shop.day(31, '10:30');
  await shop.unit(25, ...looks({ body: 'dented' }), log('healthy.csv', 'healthy', 5));
  await shop.unit(26, f('cell-look', 'lifted', 0.5), note('In the sand box. Not charged, not pressed.'));
  await shop.unit(27, ['missing', 'display'], ['missing', 'touch'], f('cell-look', 'sound', 0.6), f('case-look', 'opened', 0.7));
  await shop.unit(28, ...looks({ port: 'dirty' }));
  await shop.unit(35, note('A second slot and a wider shell: which model is this?'));
  await shop.unit(18, ...looks({ body: 'dented' }), f('charge-current', 'healthy', 2.2), f('screen-look', 'dark-sound', 1.2),
    f('torch-look', null, 0.6), note('Too bright here for the torch. Try again in the store room.'));

  shop.who(0);
  shop.day(32, '08:40');
  await shop.unit(23, ['missing', 'battery'], f('cell-look', 'sound', 0.6), f('case-look', 'opened', 0.7), f('glass-look', 'whole', 0.4),
    f('port-look', 'clear', 0.8), f('lead-off', 'clean', 4.2), f('rail-ohms', 'free', 1.0), f('liquid-dot', 'white', 0.4),
    ['ruleOut', 'liquid']);
  await shop.unit(13, ...opened(), f('cell-volts', 'normal', 0.8), f('rail-ohms', 'free', 1.0), f('good-battery', 'starts', 2.2),
    fix('swap-battery', 7, battery), ...basic(3));
  await shop.unit(16, f('rail-ohms', 'short', 1.2), note('Board out tomorrow, first thing, with the thermal camera.'));
  await shop.unit(17, ...looks(), log('stuck-slow.csv', 'slow-stuck', 4), f('screen-look', 'dead', 1.0), ...opened(),
    f('cell-volts', 'none', 0.8), fix('swap-battery', 7.5, battery), f('charge-current', 'healthy', 2.5));
  await shop.unit(12, f('board-look', 'crust', 9.5), fix('clean-board', 17));
  shop.day(32, '16:05');
  await shop.unit(12, ['wait', 'Board drying in the warm cabinet', 990]);
  await shop.unit(17, note('First hour watched: 1.6 A, cell cold.'),
    ['wait', 'New cell charging to full, Ada in the room until seven', 170]);
}

export const story = {
  firstDay: '2026-01-05',
  currency: 'USD',
  feeRate: 0.13,
  profile: 'plover-h1',
  people: [{ who: 'Ada', bench: 'bench-1' }, { who: 'Bo', bench: 'bench-2' }],
  play: async (shop) => {
    await lotOneArrives(shop);
    await firstWeek(shop);
    await secondWeek(shop);
    await thirdWeek(shop);
    await fourthWeek(shop);
    await lotTwoArrives(shop);
    await fifthWeek(shop);
  },
};
