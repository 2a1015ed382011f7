"""What is done on two cores is what is done one by one."""

from __future__ import annotations

import threading
import time

import numpy as np
import pytest

from audit.networks import at_once
from audit.networks.at_once import Beside, each_at_once, in_halves, one_ahead


@pytest.fixture(params=[1, 2])
def on_cores(request, monkeypatch):
    monkeypatch.setattr(at_once, "cores", lambda: request.param)
    return request.param


@pytest.mark.parametrize(
    ("asked", "used"), [("1", 1), ("2,1", 2), ("64", 4), ("0", 1), ("", 4), ("many", 4)]
)
def test_no_more_cores_are_used_than_a_process_was_given(monkeypatch, asked, used):
    """A batch runs a plan on each core: two threads each would wait for each other."""
    monkeypatch.setattr(at_once.os, "sched_getaffinity", lambda _: range(4), raising=False)
    monkeypatch.setenv("OMP_NUM_THREADS", asked)
    assert at_once.cores() == used


def test_answers_come_in_the_order_of_the_questions_whatever_takes_long(on_cores):
    def slow(k):
        time.sleep(0.02 if k == 0 else 0.0)
        return -k

    assert each_at_once(slow, range(5)) == [0, -1, -2, -3, -4]


def test_two_cores_do_two_things_at_once(monkeypatch):
    """Each waits for the other: one by one they would wait in vain."""
    monkeypatch.setattr(at_once, "cores", lambda: 2)
    met = threading.Barrier(2, timeout=10)
    assert len(each_at_once(lambda _: met.wait(), range(2))) == 2


def test_an_error_comes_through(on_cores):
    with pytest.raises(ZeroDivisionError):
        each_at_once(lambda k: 1 // k, [1, 0, 1])


def test_halves_give_what_the_whole_gives_in_its_order(on_cores):
    sizes = [5, 1, 4, 2, 3, 9, 7]
    asked = []

    def negative(some):
        asked.append(sorted(some))
        return [-k for k in some]

    assert in_halves(negative, sizes, size=float) == [-k for k in sizes]
    # each half gets as many long ones
    assert sorted(asked) == ([sorted(sizes)] if on_cores == 1 else [[1, 3, 5, 9], [2, 4, 7]])


def test_two_cores_work_on_both_halves_at_once_and_start_no_more_threads(monkeypatch):
    """Each half waits for the other; what it calls goes on in its own thread."""
    monkeypatch.setattr(at_once, "cores", lambda: 2)
    met = threading.Barrier(2, timeout=10)

    def work(some):
        met.wait()
        inside = {*each_at_once(lambda _: threading.get_ident(), some)}
        inside.update(in_halves(lambda more: [threading.get_ident() for _ in more], some, size=abs))
        return [(threading.get_ident(), inside)] * len(some)

    said = in_halves(work, [1, 2, 3, 4], size=abs)
    assert len({own for own, _ in said}) == 2
    assert all(inside == {own} for own, inside in said)


def test_an_error_in_a_half_comes_through(on_cores):
    with pytest.raises(ZeroDivisionError):
        in_halves(lambda some: [1 // k for k in some], [1, 0, 1], size=abs)


def test_one_ahead_yields_the_same_and_passes_on_an_error(on_cores):
    def items():
        yield 1
        yield 2
        raise ZeroDivisionError

    ahead = one_ahead(items())
    assert [next(ahead), next(ahead)] == [1, 2]
    with pytest.raises(ZeroDivisionError):
        next(ahead)


def test_one_ahead_may_be_left_early(on_cores):
    ahead = one_ahead(iter(range(100)))
    assert next(ahead) == 0
    ahead.close()


def test_the_networks_say_the_same_on_one_core_and_on_two(monkeypatch):
    from audit.networks import page, reader

    rng = np.random.default_rng(3)
    crops = [rng.integers(0, 256, (48, 40 + 12 * k), np.uint8) for k in range(24)]
    sheet = np.full((1500, 1500), 255, np.uint8)
    for x, y in rng.integers(50, 1400, (60, 2)):
        sheet[y : y + 3, x : x + 60] = 0
    said = []
    for count in (1, 2, 2):
        monkeypatch.setattr(at_once, "cores", lambda count=count: count)
        maps = page.run_page(sheet, px_per_mm=300 / 25.4)
        read = [network.read_new(crops) for network in (reader.FIRST, reader.SECOND, reader.THIRD)]
        said.append((read, maps.terminators, maps.text.tobytes()))
    assert said[0] == said[1] == said[2]


def fail():
    raise ZeroDivisionError


def test_what_is_done_beside_gives_its_result_or_its_error(on_cores):
    with Beside() as beside:
        assert beside.start(lambda: 42)() == 42
    with Beside() as beside, pytest.raises(ZeroDivisionError):
        beside.start(fail)()
