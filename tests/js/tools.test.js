import assert from 'node:assert/strict';
import { test } from 'node:test';
import { angleTo, handleOf, slid, tidy, turned } from '../../audit/web/static/js/geometry/laying.js';
import { paperNames, parseRectangle, sortCorners } from '../../audit/web/static/js/geometry/papers.js';
import { SumDraft } from '../../audit/web/static/js/geometry/sum_draft.js';
import { sumSign } from '../../audit/web/static/js/panels/sum_words.js';

const near = (a, b, by = 1e-9) => assert.ok(Math.hypot(a[0] - b[0], a[1] - b[1]) < by, `${a} is not near ${b}`);
const SQUARE = [[0, 0], [100, 0], [100, 60], [0, 60]];

test('the handle stands above the top edge, away from the middle', () => {
  near(handleOf([50, 30], SQUARE, 20), [50, -20]);
});

test('the handle of a circle stands above it', () => {
  const circle = Array.from({ length: 72 }, (_, k) => [50 + 40 * Math.cos((k * Math.PI) / 36), 50 + 40 * Math.sin((k * Math.PI) / 36)]);
  near(handleOf([50, 50], circle, 10), [50, 0], 1e-6);
});

test('a handle pulled to the right is a quarter turn clockwise', () => {
  assert.equal(angleTo([0, 0], [10, 0], false), 90);
  assert.equal(angleTo([0, 0], [0, 10], false), 180);
  assert.equal(angleTo([0, 0], [-10, 0], false), -90);
});

test('near a quarter turn the piece catches there, unless that is suspended', () => {
  const at = [Math.sin((89 * Math.PI) / 180) * 100, -Math.cos((89 * Math.PI) / 180) * 100];
  assert.equal(angleTo([0, 0], at, false), 90);
  assert.equal(angleTo([0, 0], at, true), 89);
});

test('steps of one degree and of a tenth stay round numbers', () => {
  assert.equal(turned(0.3, -1, true), 0.2);
  assert.equal(turned(180, 1, false), -179);
  assert.equal(tidy(-180), 180);
  assert.equal(tidy(720), 0);
});

test('a slid outline keeps its shape', () => {
  assert.deepEqual(slid(SQUARE, [5, -5])[2], [105, 55]);
});

test('papers by ISO 216 and ANSI Y14.1, turned as the corners lie', () => {
  assert.deepEqual(parseRectangle('A4', false), { width: '210 mm', height: '297 mm' });
  assert.deepEqual(parseRectangle(' ansi  d', true), { width: '34 in', height: '22 in' });
  assert.ok(paperNames().includes('letter'));
});

test('a unit at the end counts for both sides, and half a size is none', () => {
  assert.deepEqual(parseRectangle('11 x 8 1/2 in', true), { width: '11 in', height: '8 1/2 in' });
  assert.deepEqual(parseRectangle('11 in × 200 mm', true), { width: '11 in', height: '200 mm' });
  for (const bad of ['', '11', '11 x', 'x 8', '1 x 2 x 3', 'A9']) assert.equal(parseRectangle(bad, true), null, bad);
});

test('corners come out clockwise from the top left, in whatever order they were placed', () => {
  const skewed = [[10, 12], [310, 30], [290, 220], [20, 200]];
  for (const order of [[0, 1, 2, 3], [2, 0, 3, 1], [3, 2, 1, 0], [1, 3, 0, 2]]) {
    assert.deepEqual(sortCorners(order.map((n) => skewed[n])), skewed);
  }
});

test('picked again a size leaves the sum; the overall is asked for once', () => {
  const draft = new SumDraft();
  draft.take(4);
  draft.take(5);
  draft.take(4);
  assert.deepEqual(draft.legs, [{ dimension: 5, count: 1 }]);
  draft.wantsOverall = true;
  draft.take(1);
  draft.take(6);
  assert.deepEqual(draft.asked, { legs: [{ dimension: 5, count: 1 }, { dimension: 6, count: 1 }], overall: { dimension: 1, count: 1 } });
  draft.back();
  draft.back();
  assert.deepEqual(draft.asked, { legs: [{ dimension: 5, count: 1 }], overall: null });
});

test('how many are alike is a whole number from one to a thousand', () => {
  const draft = new SumDraft();
  draft.take(4);
  for (const [given, kept] of [[3, 3], [0, 1], [-2, 1], [NaN, 1], [2.6, 3], [9999, 1000]]) {
    draft.setCount(0, given);
    assert.equal(draft.legs[0].count, kept);
  }
  draft.setCount(7, 2);
});

test('typing takes the place of picks, and a pick that of the text', () => {
  const draft = new SumDraft();
  draft.take(4);
  draft.type('1 + 2');
  assert.deepEqual(draft.asked, { text: '1 + 2' });
  draft.take(4);
  assert.deepEqual(draft.asked.legs, [{ dimension: 4, count: 1 }]);
  assert.ok(draft.clear().isEmpty);
});

test('a sum that closes, is open, or only a sum differ in shape', () => {
  assert.equal(new Set([true, false, null].map((closes) => sumSign(closes).sign)).size, 3);
});
