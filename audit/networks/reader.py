"""The reader networks at work: dimension text from upright crops, with honest confidence.

One network reads everything; what leaves it in doubt two others read too, which learnt more of old
lettering by hand and of crops as they are cut out of drawings. Their mistakes are seldom the same.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from functools import partial
from importlib import resources
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from audit.networks.alphabet import CLASSES
from audit.networks.at_once import each_at_once, in_halves
from audit.networks.clearing import clear_edges
from audit.networks.crops import Gray, prepare
from audit.networks.dashes import weigh_dashes
from audit.networks.decoding import (
    NetCandidate,
    combine,
    decode,
    log_softmax,
)
from audit.networks.engine import Engine, load_engine
from audit.networks.lines import split_lines
from audit.networks.memory import Memory
from audit.networks.packed import unpack
from audit.networks.points import INKLESS, TWIN_SHARE, count_blobs, is_twin, lacks_ink
from audit.networks.uprights import weigh_uprights
from audit.networks.wiping import wipe_level_lines

FRAMES_PER_COLUMN = 2
BATCH_COLUMNS = 4096  # of a batch, px of width in all: more gains nothing on two cores
WIDTH_BUCKET_PX = 64  # crops are padded to a common width within a bucket
MORE_ODDS = 1.8  # averaged looks say too little, what a cut left out is unseen: docs/reader.md
# The same for a bare number of up to three figures, which may be what a cut left of a longer text:
# on dev crops out of drawings one in four of them is wrong, of all readings one in ten.
BARE, BARE_ODDS = re.compile(r"\d{1,3}"), 0.3 * MORE_ODDS
LEAST_CROP_PX = 4
SURE = 0.98  # from here one look is enough
AGREED = 0.85  # from here two looks are, where both networks say the same
LIKELY = 0.8  # from here a reading stands against the same with fewer characters
# Of the confidence in what was read with a line wiped out: asked, never believed.
WIPED = 0.79
# Of the confidence where all lines but one say nothing.
MUTE = 0.5


def read_crops(
    crops: Sequence[Gray], *, clear: bool = True
) -> tuple[tuple[NetCandidate, ...], ...]:
    """Read upright crops of one callout each.

    Parameters
    ----------
    crops : sequence of (h, w) uint8 arrays
        Dark on light or light on dark; cut near the text.
    clear : bool
        Read doubtful ones without what comes in over their edges, too.

    Returns
    -------
    tuple of tuple of NetCandidate
        For each crop the candidates, best first; empty where nothing is printed.
    """
    anew = partial(read_anew, clear=clear)
    return tuple(_READ[clear].ask(crops, partial(in_halves, anew, size=np.size)))


def read_anew(crops: Sequence[Gray], *, clear: bool) -> tuple[tuple[NetCandidate, ...], ...]:
    """Read crops, known or not, as `read_crops` does."""
    results = _look(crops)
    inside = _look_inside(crops, results) if clear else {}
    _look_behind_lines(crops, results)
    for i, said in enumerate(results):
        crop, share = inside.get(i, (crops[i], 1.0))
        if share == 1.0 and _is_doubtful(said):  # else a point may have gone with a line
            results[i] = weigh_points(crop, said)
    several = {
        i: split_lines(inside[i][0] if i in inside else crops[i])
        for i, said in enumerate(results)
        if _is_doubtful(said)
    }
    several = {i: lines for i, lines in several.items() if len(lines) > 1}
    lines = iter(_look([line for group in several.values() for line in group]))
    for i, group in several.items():
        share = inside[i][1] if i in inside else 1.0
        joined = join_lines([next(lines) for _ in group])
        if share == 1.0 or not _only_misses(results[i], joined):
            results[i] = _likelier(results[i], _shared(joined, share))
    for i, said in enumerate(results):
        if _is_doubtful(said) or _is_marked(said[0].text):
            results[i] = weigh_dashes(said, most=WIPED)
        results[i] = weigh_uprights(crops[i], results[i], most=WIPED)
    return tuple(_calibrate(said) for said in results)


# By `clear`: texts are read as they stand, and again once it is known how they are best cut.
_READ: dict[bool, Memory[tuple[NetCandidate, ...]]] = {True: Memory(), False: Memory()}


def _calibrate(said: Sequence[NetCandidate]) -> tuple[NetCandidate, ...]:
    """Make probabilities of the looks what shares of right readings are, in their order."""
    shares = [raise_odds(c.confidence, odds_of(c.text)) for c in said]
    return tuple(NetCandidate(c.text, min(shares[: k + 1])) for k, c in enumerate(said))


def odds_of(text: str) -> float:
    """How many times as high the odds of a reading are as the looks say.

    Examples
    --------
    >>> odds_of("7/8") == odds_of('1"') == MORE_ODDS, odds_of("650") == BARE_ODDS
    (True, True)
    """
    return BARE_ODDS if BARE.fullmatch(text) else MORE_ODDS


def raise_odds(probability: float, odds: float = MORE_ODDS) -> float:
    """Probability whose odds are so many times as high.

    Examples
    --------
    >>> raise_odds(0.0), round(raise_odds(0.5), 3), raise_odds(1.0)
    (0.0, 0.643, 1.0)
    """
    return odds * probability / (1.0 + (odds - 1.0) * probability)


def _look_inside(
    crops: Sequence[Gray], results: list[tuple[NetCandidate, ...]]
) -> dict[int, tuple[Gray, float]]:
    """Read what leaves doubt again without what comes in over the crop's edges.

    Returns the crops so cleared, by their place, each with the share of the confidence that
    counts: where something of the text may have gone, what is read is never sure.
    """
    doubtful = [i for i, said in enumerate(results) if _is_doubtful(said)]
    found = {i: cleared for i in doubtful if (cleared := clear_edges(crops[i])) is not None}
    said = _look([cleared.picture for cleared in found.values()])
    for (i, cleared), one in zip(found.items(), said, strict=True):
        sure = cleared.safe and (not results[i] or results[i][0].confidence < LIKELY)
        if _lost_figures(results[i], one):
            continue
        if sure or not _only_misses(results[i], one):
            results[i] = _likelier(results[i], _shared(one, 1.0 if cleared.safe else WIPED))
    return {i: (c.picture, 1.0 if c.safe else WIPED) for i, c in found.items()}


def _lost_figures(before: Sequence[NetCandidate], after: Sequence[NetCandidate]) -> bool:
    """Whether nothing but marks are left of a reading with figures: a lone 1 went with the lines.

    Examples
    --------
    >>> one, mark = NetCandidate('1"', 0.6), NetCandidate('"', 0.99)
    >>> _lost_figures([one], [mark]), _lost_figures([mark], [one])
    (True, False)
    """
    if not before or not after:
        return False
    return any(c.isalnum() for c in before[0].text) and not any(c.isalnum() for c in after[0].text)


def _only_misses(before: Sequence[NetCandidate], after: Sequence[NetCandidate]) -> bool:
    """Whether a reading is an earlier one with characters missing: they went with the lines."""
    if not before or not after:
        return bool(before)
    left = iter(before[0].text.upper())
    return all(c in left for c in after[0].text.upper() if c != " ")


def _shared(said: Sequence[NetCandidate], share: float) -> tuple[NetCandidate, ...]:
    return tuple(NetCandidate(c.text, share * c.confidence) for c in said)


def weigh_points(crop: Gray, said: tuple[NetCandidate, ...]) -> tuple[NetCandidate, ...]:
    """Put readings back whose points have no ink, where the same without them was thought of.

    Parameters
    ----------
    crop : (h, w) uint8 array
        One line of text.
    said : tuple of NetCandidate
        Best first.
    """
    least = TWIN_SHARE * said[0].confidence if said else 0.0
    twins = [c for c in said[1:] if c.confidence >= least and is_twin(said[0].text, c.text)]
    blobs = count_blobs(crop) if twins else None
    if blobs is None or not lacks_ink(said[0].text, blobs) or lacks_ink(twins[0].text, blobs):
        return said
    rest = [c for c in said if c not in (said[0], twins[0])]
    share = INKLESS * said[0].confidence
    found = [twins[0], *rest, NetCandidate(said[0].text, min(share, twins[0].confidence))]
    return (found[0], *sorted(found[1:], key=lambda c: -c.confidence))


def _look_behind_lines(crops: Sequence[Gray], results: list[tuple[NetCandidate, ...]]) -> None:
    """Read what leaves doubt again without the level line through it, where there is one.

    What is read so is never sure: a dash may have gone with the line.
    """
    doubtful = [i for i, said in enumerate(results) if _is_doubtful(said)]
    wiped = {i: clear for i in doubtful if (clear := wipe_level_lines(crops[i])) is not None}
    for i, said in zip(wiped, _look(list(wiped.values())), strict=True):
        if _likelier(results[i], said) is said:
            results[i] = _shared(said, WIPED)


def _is_doubtful(said: Sequence[NetCandidate]) -> bool:
    return not said or said[0].confidence < SURE


def _is_marked(text: str) -> bool:
    """Whether a text has foot or inch marks: a tolerance, which may begin with a dash, has none."""
    return "'" in text or '"' in text


def _likelier(
    one: tuple[NetCandidate, ...], other: tuple[NetCandidate, ...]
) -> tuple[NetCandidate, ...]:
    sure_one, sure_other = (c[0].confidence if c else 0.0 for c in (one, other))
    return other if sure_other > sure_one else one


def join_lines(lines: Sequence[Sequence[NetCandidate]]) -> tuple[NetCandidate, ...]:
    """Put the best readings of a callout's lines together, top line first.

    Two decimals over each other are the limits of one size.

    Examples
    --------
    >>> join_lines([[NetCandidate("Ø.500", 1.0)], [NetCandidate(".495", 1.0)]])[0].text
    'Ø.500/.495'
    >>> a, b = NetCandidate("1/4 DRILL", 0.9), NetCandidate("4 HOLES", 0.9)
    >>> [(c.text, round(c.confidence, 2)) for c in join_lines([[a], [], [b]])]
    [('1/4 DRILL 4 HOLES', 0.81)]
    >>> join_lines([[], [NetCandidate("2", 0.9)]])[0].confidence
    0.45
    >>> join_lines([[], []])
    ()
    """
    found = [said[0] for said in lines if said]
    if not found:
        return ()
    confidence = math.prod(c.confidence for c in found)
    if len(found) == 1 < len(lines):
        confidence *= MUTE  # the other half of a stack rather than a line of nothing
    limits = len(found) == 2 and all(_LIMIT.fullmatch(c.text) for c in found)
    joint = "/" if limits and found[1].text[0] not in "RØ" else " "
    return (NetCandidate(joint.join(c.text for c in found), confidence),)


_LIMIT = re.compile(r"(?:[RØ] ?)?\d*[.,]\d+")


def _look(crops: Sequence[Gray]) -> list[tuple[NetCandidate, ...]]:
    """Read crops of one line each; those that leave doubt are looked at again.

    The second network looks first; where it does not settle the doubt the third, larger one looks.
    """
    prepared = [prepare(c) if min(c.shape, default=0) >= LEAST_CROP_PX else None for c in crops]
    results = list(FIRST.read(prepared))
    ones = {i: said for i, said in enumerate(results) if said and _is_doubtful(said)}
    seen = {i: p for i in ones if (p := prepared[i]) is not None}
    others = dict(zip(ones, SECOND.read(list(seen.values())), strict=True))
    for i, one in ones.items():
        results[i] = combine(one, others[i])
    open_ones = [i for i, one in ones.items() if not _is_settled(one, others[i])]
    last = THIRD.read([seen[i] for i in open_ones])
    for i, said in zip(open_ones, last, strict=True):
        results[i] = combine(ones[i], others[i], said)
    return results


def _is_settled(one: Sequence[NetCandidate], other: Sequence[NetCandidate]) -> bool:
    """Whether two looks say the same, and surely enough."""
    return (
        bool(other)
        and one[0].text == other[0].text
        and one[0].confidence + other[0].confidence >= 2 * AGREED
    )


class Network:
    """One of our networks: loaded when first asked.

    Parameters
    ----------
    file : str
        Its packed weights in `audit/networks/weights`.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._engine: Engine | None = None
        self._loading = Lock()
        self._known: Memory[tuple[NetCandidate, ...]] = Memory()

    def read(self, prepared: Sequence[Gray | None]) -> list[tuple[NetCandidate, ...]]:
        """Read prepared crops once; nothing where there is none.

        Parameters
        ----------
        prepared : sequence of (48, w) uint8 arrays or None

        Returns
        -------
        list of tuple of NetCandidate
            In their order, probabilities as the network gives them.
        """
        said = iter(self._known.ask([p for p in prepared if p is not None], self.read_new))
        return [() if p is None else next(said) for p in prepared]

    def read_new(self, prepared: Sequence[Gray]) -> list[tuple[NetCandidate, ...]]:
        """Read prepared crops, known or not.

        Parameters
        ----------
        prepared : sequence of (48, w) uint8 arrays

        Returns
        -------
        list of tuple of NetCandidate
            As `read` gives them.
        """
        results: list[tuple[NetCandidate, ...]] = [()] * len(prepared)

        def read(group: tuple[list[int], Gray]) -> None:
            for index, logits in zip(group[0], self._run(group[1]), strict=True):
                results[index] = decode(log_softmax(logits[: prepared[index].shape[1] // 2]))

        each_at_once(read, _batches(prepared))
        return results

    def forget(self) -> None:
        """Forget what crops were read as."""
        self._known.forget()

    def _run(self, batch: Gray) -> NDArray[np.float32]:
        """Run a batch; returns (n, frames, classes) logits."""
        ink = np.asarray((255 - batch[:, None].astype(np.float32)) / 255, np.float32)
        out = self._load().run(ink)
        columns = batch.shape[2] // 4
        split = out.reshape(len(batch), FRAMES_PER_COLUMN, CLASSES, columns)
        return split.transpose(0, 3, 1, 2).reshape(len(batch), columns * FRAMES_PER_COLUMN, CLASSES)

    def _load(self) -> Engine:
        with self._loading:
            if self._engine is None:
                weights = resources.files("audit.networks").joinpath("weights", self._file)
                self._engine = load_engine(unpack(weights.read_bytes(), self._file))
            return self._engine


FIRST, SECOND, THIRD = map(Network, ("reader.npz", "reader-second.npz", "reader-third.npz"))


def forget_readings() -> None:
    """Forget what crops were read as, so that what reading costs can be measured."""
    for network in (FIRST, SECOND, THIRD):
        network.forget()
    for memory in _READ.values():
        memory.forget()


def _batches(prepared: Sequence[Gray]) -> Iterator[tuple[list[int], Gray]]:
    """Group crops of like width, padded with paper to a common one."""
    group: list[int] = []
    for i in [*sorted(range(len(prepared)), key=lambda i: prepared[i].shape[1]), -1]:
        width = _bucket(prepared[i].shape[1]) if i >= 0 else 0
        full = group and (
            _bucket(prepared[group[0]].shape[1]) != width
            or width * (len(group) + 1) > BATCH_COLUMNS
        )
        if full:
            yield group, _stack([prepared[j] for j in group])
            group = []
        if i >= 0:
            group.append(i)


def _bucket(width: int) -> int:
    return math.ceil(width / WIDTH_BUCKET_PX) * WIDTH_BUCKET_PX


def _stack(crops: Sequence[Gray]) -> Gray:
    width = _bucket(max(c.shape[1] for c in crops))
    batch = np.full((len(crops), crops[0].shape[0], width), 255, np.uint8)
    for row, crop in zip(batch, crops, strict=True):
        row[:, : crop.shape[1]] = crop
    return batch
