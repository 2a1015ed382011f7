import assert from 'node:assert/strict';
import { test } from 'node:test';
import { boxAround, cornersOf, grown, keepFilled, keepOff, overlaps, placeBeside } from '../../audit/web/static/js/geometry/boxes.js';
import { cutOut, sharesInside } from '../../audit/web/static/js/geometry/segments.js';
import { Transform } from '../../audit/web/static/js/geometry/transform.js';
import { piecesOf, TILE } from '../../audit/web/static/js/geometry/windows.js';

const near = (a, b, by = 1e-9) => assert.ok(Math.hypot(a[0] - b[0], a[1] - b[1]) < by, `${a} is not near ${b}`);

test('a quarter turn and its way back', () => {
  const turn = new Transform([[0, -1, 200], [1, 0, 0], [0, 0, 1]]); // 90° clockwise, 200 px high
  near(turn.apply([10, 30]), [170, 10]);
  near(turn.inverse().apply(turn.apply([10, 30])), [10, 30]);
  assert.equal(turn.stretch, 1);
});

test('a perspective there and back', () => {
  const photo = new Transform([[1.1, 0.2, 5], [-0.1, 0.9, 7], [1e-4, 2e-4, 1]]);
  near(photo.inverse().apply(photo.apply([640, 480])), [640, 480], 1e-6);
});

test('a transform that squeezes the plane onto a line has no way back', () => {
  assert.throws(() => new Transform([[1, 1, 0], [1, 1, 0], [0, 0, 1]]).inverse(), RangeError);
});

test('a mark clear of a text stays where it is', () => {
  assert.deepEqual(keepOff([50, 50], 6, [0, 0, 20, 20]), [50, 50]);
});

test('a mark never covers the text, whatever side it came from', () => {
  const text = [100, 100, 160, 120];
  for (let x = 90; x <= 170; x += 5) {
    for (let y = 90; y <= 130; y += 3) {
      const [cx, cy] = keepOff([x, y], 7, text);
      assert.ok(!overlaps([cx - 7, cy - 7, cx + 7, cy + 7], text), `${x},${y}`);
    }
  }
});

test('the magnifier stays inside and off the pointer, and above a finger', () => {
  for (let x = 0; x <= 800; x += 50) {
    for (let y = 0; y <= 600; y += 50) {
      for (const above of [false, true]) {
        const [left, top] = placeBeside([x, y], 170, 34, [800, 600], above);
        assert.ok(left >= 0 && top >= 0 && left + 170 <= 800 && top + 170 <= 600);
        assert.ok(x < left || x > left + 170 || y < top || y > top + 170, `${x},${y} is covered`);
      }
    }
  }
  assert.ok(placeBeside([400, 300], 170, 34, [800, 600], true)[1] < 300);
});

test('boxes', () => {
  assert.deepEqual(boxAround([[3, 1], [0, 5]]), [0, 1, 3, 5]);
  assert.deepEqual(boxAround(cornersOf([1, 2, 3, 4])), [1, 2, 3, 4]);
  assert.deepEqual(grown([1, 2, 3, 4], 1), [0, 1, 4, 5]);
});

test('the highlight is cut where the text stands', () => {
  assert.deepEqual(cutOut([0, 0], [100, 0], [40, -5, 60, 5]), [[[0, 0], [40, 0]], [[60, 0], [100, 0]]]);
  assert.deepEqual(cutOut([0, 0], [100, 0], [40, 5, 60, 9]), [[[0, 0], [100, 0]]]);
  assert.deepEqual(cutOut([45, 0], [55, 0], [40, -5, 60, 5]), []);
  assert.deepEqual(sharesInside([0, 0], [0, 10], [-1, 2, 1, 4]), [0.2, 0.4]);
});

test('a window in the middle of a tile needs one tile, on a corner four', () => {
  assert.equal(piecesOf([128, 128], 40, 0, [1000, 800]).length, 1);
  const four = piecesOf([TILE, TILE], 40, 0, [1000, 800]);
  assert.deepEqual(four.map((p) => [p.column, p.row, p.x, p.y]), [[0, 0, -236, -236], [1, 0, 20, -236], [0, 1, -236, 20], [1, 1, 20, 20]]);
});

test('beyond the sheet there are no tiles', () => {
  assert.equal(piecesOf([0, 0], 40, 0, [1000, 800]).length, 1);
  assert.equal(piecesOf([-400, -400], 40, 0, [1000, 800]).length, 0);
  assert.ok(piecesOf([999, 799], 300, 1, [1000, 800]).every((p) => p.column <= 7 && p.row <= 6));
});

test('a view near the edge is filled by the sheet, a small sheet is centred', () => {
  assert.deepEqual(keepFilled([5, 300], [200, 100], [1000, 600], 10), [90, 300]);
  assert.deepEqual(keepFilled([995, 599], [200, 100], [1000, 600], 10), [910, 560]);
  assert.deepEqual(keepFilled([5, 5], [2000, 100], [1000, 600], 10), [500, 40]);
});
