"""What the held-out half of the working drawings shows: other things, put together otherwise."""

from __future__ import annotations

from tests.bench.plates_pen import Rng
from tests.bench.plates_things import near
from tests.bench.plates_work_things import Build, Rows, WorkThing, at_scales
from tests.bench.plates_work_views import WorkView


def sled(build: Build, rng: Rng) -> Rows:
    """A sled: the side over its plan, projection lines between, and the end."""
    long, wide, high = near(rng, 34, 42, step=0.5), near(rng, 12, 15, step=0.5), near(rng, 6, 8)
    board, slat, runner = 0.875, near(rng, 2.5, 3.5), near(rng, 3, 4)
    both = build(1.0)
    both.path([(4, 0), (long, 0), (long, high - board), (0, high - board), (0, 4), (4, 0)],
              width=both.manner.thick)  # fmt: skip
    both.rect(2, high - board, long - 1, high)
    first, second = near(rng, 8, 10), near(rng, 24, 27)
    for x in (first, second):
        both.rect(x, runner, x + 1.75, runner + 0.75)
        both.hatch(x, runner, x + 1.75, runner + 0.75)
    both.grain(5, 0.4, long - 1, runner - 0.3, lines=3)
    both.within((first + 1.75, runner + 0.4), (second, runner + 0.4))
    both.size((long, 0), (long, high), "E")
    both.size((0, high), (2, high), "N")
    both.size((4, 0), (0, 4), "S")
    base = -wide - 9
    both.start()
    both.rect(2, base, long - 1, base + wide)
    each = (wide - 3 * slat) / 2
    for k in range(1, 3):
        for y in (k * slat + (k - 1) * each, k * (slat + each)):
            both.path([(2, base + y), (long - 1, base + y)])
    for k in range(3):
        y = base + k * (slat + each)
        both.grain(3, y + 0.2, long - 2, y + slat - 0.2, lines=3)
    both.hidden((first, base), (first, base + wide))
    both.hidden((first + 1.75, base), (first + 1.75, base + wide))
    for x in (2.0, long - 1):
        both.project((x, high - board), (x, base + wide))
    both.within((2, base + slat * 0.5), (long - 1, base + slat * 0.5))
    both.within((0.62 * long, base), (0.62 * long, base + slat))
    both.size((2, base), (2, base + wide), "W")
    both.label("Fig. 1")
    end = build(1.4)
    for x in (0.0, wide - 2):
        end.rect(x + 0.5, 0, x + 1.5, high - board)
        end.rings(x + 0.5, 0, x + 1.5, high - board)
    end.rect(0, high - board, wide, high)
    end.rect(1.5, runner, wide - 1.5, runner + 0.75, heavy=False)
    end.within((1.5, runner * 0.5), (wide - 1.5, runner * 0.5))
    end.size((0, high), (wide, high), "N")
    end.size((wide, high - board), (wide, high), "E")
    end.label("Fig. 2")
    return [[both], [end]]


def window(build: Build, rng: Rng) -> Rows:
    """A sash: sizes across its parts, a section through a bar, a photograph."""
    wide, high = near(rng, 26, 34, step=0.5), near(rng, 30, 40, step=0.5)
    stile, bar, low = near(rng, 1.75, 2.25), near(rng, 0.75, 1.125), near(rng, 2.75, 3.5)
    front = build(1.0)
    front.rect(0, 0, wide, high)
    pane = (wide - 2 * stile - bar) / 2
    tall = (high - stile - low - bar) / 2
    for x in (stile, stile + pane + bar):
        for y in (low, low + tall + bar):
            front.rect(x, y, x + pane, y + tall, heavy=False)
    front.within((stile, low + 0.4 * tall), (stile + pane, low + 0.4 * tall))
    front.within((stile + 0.4 * pane, low + tall + bar), (stile + 0.4 * pane, high - stile))
    front.within((0.8 * wide, 0), (0.8 * wide, low))
    front.size((0, 0), (stile, 0), "S", tier=2)
    front.size((stile, 0), (stile + pane, low), "S")
    front.size((0, high), (wide, high), "N")
    front.size((0, 0), (0, high), "W")
    front.size((wide, 0), (wide, low), "E")
    front.ring("S", (stile + pane + bar / 2, high * 0.6), by=(8.0, 7.0))
    front.label("THE SASH")
    cut = build(float(rng.uniform(11, 14)))
    deep = near(rng, 1.25, 1.5)
    cut.outline((0, 0), (bar, 0), (bar, deep - 0.5), (bar * 0.7, deep), (bar * 0.3, deep),
                (0, deep - 0.5))  # fmt: skip
    cut.rings(bar * 0.05, 0.05, bar * 0.95, deep - 0.5)
    cut.size((0, 0), (bar, 0), "S")
    cut.size((bar, 0), (bar * 0.7, deep), "E")
    cut.size((0, 0), (0, deep - 0.5), "W")
    cut.label("BAR S")
    seen = build(1.0)
    seen.photograph(float(rng.uniform(30, 45)), float(rng.uniform(35, 50)))
    return [[front], [cut, seen]]


def _bridle(view: WorkView, rng: Rng) -> WorkView:
    wide, fork, long = near(rng, 2.5, 3.5), near(rng, 2.5, 3.5), near(rng, 4, 6)
    view.outline((0, 0), (long + fork, 0), (long + fork, wide * 0.33), (long, wide * 0.33),
                 (long, wide * 0.67), (long + fork, wide * 0.67), (long + fork, wide),
                 (0, wide))  # fmt: skip
    view.hatch(0.1, 0.1, long * 0.3, wide - 0.1)
    view.size((long, 0), (long + fork, 0), "S")
    view.size((0, 0), (0, wide), "W")
    view.within((0, wide * 0.5), (long, wide * 0.5))
    return view


def _rabbet(view: WorkView, rng: Rng) -> WorkView:
    thick, step, wide = near(rng, 0.875, 1.25), near(rng, 0.375, 0.5), near(rng, 3, 4)
    view.outline((0, 0), (wide, 0), (wide, thick - step), (wide - step, thick - step),
                 (wide - step, thick), (0, thick))  # fmt: skip
    view.rings(0.05, 0.05, wide - step, thick - 0.05)
    view.size((0, 0), (wide, 0), "S")
    view.size((0, 0), (0, thick), "W")
    view.size((wide - step, thick), (wide, thick - step), "N")
    return view


def _mitre(view: WorkView, rng: Rng) -> WorkView:
    side, wide = near(rng, 6, 8, step=0.25), near(rng, 2, 2.75)
    view.outline((0, 0), (side, 0), (side, wide), (wide, wide), (wide, side), (0, side))
    view.path([(0, 0), (wide, wide)])
    view.grain(wide + 0.4, 0.2, side - 0.2, wide - 0.2, lines=4)
    view.size((0, 0), (side, 0), "S")
    view.within((side * 0.7, 0), (side * 0.7, wide))
    view.size((0, side), (wide, side), "N")
    view.size((0, 0), (0, side), "W")
    return view


def _log(view: WorkView, rng: Rng) -> WorkView:
    view.oblique(near(rng, 2, 3), near(rng, 3, 4), near(rng, 5, 7))
    return view


def corners(build: Build, rng: Rng) -> Rows:
    """Figures on one page, each at a scale of its own."""
    made = at_scales(build, rng, (_bridle, _rabbet, _mitre, _log))
    names = ("BRIDLE", "RABBET", "MITRE", "BLOCK")
    for view, name in zip(made, names, strict=True):
        view.label(f"{name} JOINT" if name != "BLOCK" else name)
    return [[made[0], made[1]], [made[2], made[3]]]


def bench(build: Build, rng: Rng) -> Rows:
    """A low bench: front and end put together, and what it is made of."""
    long, deep, high = near(rng, 44, 56, step=1), near(rng, 12, 15, step=0.5), near(rng, 16, 18)
    top, board, in_, rail = (
        near(rng, 1.25, 1.75),
        near(rng, 1, 1.5),
        near(rng, 5, 7),
        near(rng, 4, 5),
    )
    pair = build(1.0)
    pair.rect(0, high - top, long, high)
    pair.grain(1, high - top, long - 1, high, lines=2)
    for x in (in_, long - in_ - board):
        pair.rect(x, 0, x + board, high - top)
        pair.rings(x, 0, x + board, (high - top) * 0.3)
    pair.path([(in_ + board, high - top - rail), (long - in_ - board, high - top - rail)])
    pair.within((in_ + board, high * 0.35), (long - in_ - board, high * 0.35))
    pair.within((long * 0.5, high - top - rail), (long * 0.5, high - top))
    pair.size((0, high), (long, high), "N")
    pair.size((0, high - top), (in_, high - top), "S")
    pair.size((0, 0), (0, high), "W")
    left = long + 14
    pair.start()
    pair.rect(left, high - top, left + deep, high)
    pair.rect(left + 1, 0, left + deep - 1, high - top)
    pair.grain(left + 1.5, 4, left + deep - 1.5, high - top - 0.5, lines=9)
    for y in (0.0, high):
        pair.project((long, y), (left, y))
    pair.within((left + 1, high * 0.5), (left + deep - 1, high * 0.5))
    pair.size((left, high), (left + deep, high), "N")
    pair.size((left + deep, high - top), (left + deep, high), "E")
    pair.label("Front and End")
    stock = build(1.0)
    rows = (
        ("Pieces", "Thick", "Wide", "Long"),
        ("1 Top", f"{top:g} in.", f"{deep:g} in.", f"{long / 12:.1f} ft."),
        ("2 Ends", f"{board:g} in.", f"{deep - 2:g} in.", f"{high - top:g} in."),
        ("2 Rails", "7/8 in.", f"{rail:g} in.", f"{(long - 2 * in_) / 12:.1f} ft."),
    )
    stock.table(rows, stock.manner.captions, ruled=bool(rng.random() < 0.5))
    stop = build(float(rng.uniform(3.5, 5)))
    w, d = near(rng, 2, 3), near(rng, 0.5, 0.75)
    stop.rect(0, 0, w, top)
    stop.rings(0, 0, w, top)
    stop.rect(w * 0.3, top, w * 0.3 + d, top + 1)
    stop.within((w * 0.8, 0), (w * 0.8, top))
    stop.size((0, 0), (w, 0), "S")
    stop.size((w * 0.3, top + 1), (w * 0.3 + d, top + 1), "N")
    stop.label("Stop")
    return [[pair], [stock, stop]]


THINGS: tuple[WorkThing, ...] = (sled, window, corners, bench)
