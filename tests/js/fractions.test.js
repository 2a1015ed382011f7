import assert from 'node:assert/strict';
import { test } from 'node:test';
import { splitFractions } from '../../audit/web/static/js/core/fractions.js';

const said = (text) => splitFractions(text).map((p) => (p.kind === 'text' ? p.text : `<${p.over}|${p.under}>`)).join('');

for (const [text, expected] of [
  ['3 9/32', '3<9|32>'],
  ['3-9/32"', '3<9|32>"'],
  ['3/32 short', '<3|32> short'],
  ['15/32 or 1/2', '<15|32> or <1|2>'],
  ['Ø 1/4 THRU', 'Ø <1|4> THRU'],
  ['2X Ø1/8', '2X Ø<1|8>'],
  ['not 5 1/2.', 'not 5<1|2>.'],
  ['42.5 mm', '42.5 mm'],
  ['1/2/2026', '1/2/2026'],
  ['.5/.25', '.5/.25'],
  ['', ''],
]) {
  test(`fractions of "${text}"`, () => assert.equal(said(text), expected));
}

test('markup in a callout stays text', () => {
  assert.deepEqual(splitFractions('<b>1/2</b>'), [
    { kind: 'text', text: '<b>' }, { kind: 'fraction', over: '1', under: '2' }, { kind: 'text', text: '</b>' },
  ]);
});
