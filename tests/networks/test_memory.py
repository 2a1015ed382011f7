"""Looking at no picture twice."""

import numpy as np

from audit.networks import reader
from audit.networks.crops import prepare
from audit.networks.memory import KEPT, Memory
from audit.networks.reader import FIRST, SECOND
from tests.networks.test_reader import draw


class Looker:
    """Says a picture's sum, and counts what it was shown."""

    def __init__(self):
        self.shown = []

    def __call__(self, pictures):
        self.shown += [p.shape for p in pictures]
        return [int(p.sum()) for p in pictures]


def picture(*values):
    return np.array([values], np.uint8)


def test_each_picture_is_looked_at_once_and_answers_keep_their_order():
    memory, look = Memory(), Looker()
    asked = [picture(1, 2), picture(5), picture(1, 2), picture(7)]
    assert memory.ask(asked, look) == [3, 5, 3, 7]
    assert memory.ask([picture(7), picture(9)], look) == [7, 9]
    assert look.shown == [(1, 2), (1, 1), (1, 1), (1, 1)]


def test_pictures_of_other_shape_are_others_though_their_bytes_are_the_same():
    memory, look = Memory(), Looker()
    flat = picture(1, 2, 3, 4)
    memory.ask([flat, flat.reshape(2, 2), flat.T], look)
    assert look.shown == [(1, 4), (2, 2), (4, 1)]


def test_another_network_looks_for_itself():
    crop = prepare(draw("3 9/32"))
    (one,), (other,) = FIRST.read([crop]), SECOND.read([crop])
    assert one[0].text == other[0].text == "3 9/32"
    assert one[0].confidence != other[0].confidence
    assert (FIRST.read([crop]), SECOND.read([crop])) == ([one], [other])


def test_old_pictures_are_forgotten():
    memory, look = Memory(), Looker()
    memory.ask([picture(k // 256, k % 256) for k in range(KEPT + 1)], look)
    look.shown.clear()
    memory.ask([picture(0, 0), picture(0, 1)], look)
    assert len(look.shown) == 1


def test_what_our_reader_says_of_a_crop_does_not_depend_on_the_crops_beside_it():
    """Only so may what it said be remembered."""
    crops = [prepare(draw(text)) for text in ("3 9/32", "MAKE 6", "R 1/2", "12.375", "4X")]
    together = FIRST.read_new(crops)
    assert together == [said for crop in crops for said in FIRST.read_new([crop])]
    assert [said[0].text for said in together[1::2]] == ["MAKE 6", "12.375"]


def test_what_was_forgotten_is_looked_at_again():
    memory, look = Memory(), Looker()
    memory.ask([picture(1)], look)
    memory.forget()
    memory.ask([picture(1)], look)
    assert len(look.shown) == 2


def test_a_crop_that_was_read_is_not_cut_and_read_again(monkeypatch):
    """A sheet's texts are read ahead while its lines are traced, and once more with their cuts."""
    crops, asked = [draw("3 9/32"), draw("MAKE 6")], []
    anew = reader.read_anew

    def read(new, *, clear):
        asked.append((len(new), clear))
        return anew(new, clear=clear)

    monkeypatch.setattr(reader, "read_anew", read)
    reader.forget_readings()
    first = reader.read_crops(crops)
    assert reader.read_crops([*crops[::-1], *crops]) == (*first[::-1], *first)
    reader.read_crops(crops, clear=False)  # otherwise read, so known apart
    # on two cores one half is read beside the other
    assert [sum(n for n, clear in asked if clear is way) for way in (True, False)] == [2, 2]
