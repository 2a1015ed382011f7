"""The search for the likeliest text keeps what one that leaves nothing out beforehand keeps."""

from __future__ import annotations

import numpy as np
import pytest

from audit.networks.alphabet import BLANK, CHARACTERS
from audit.networks.decoding import (
    BEAM,
    LEAST_SHARE,
    SURE_BLANK,
    _as_candidates,
    _step,
    decode,
    log_softmax,
)


def whole_step(beams, row, begun):
    """One frame of a prefix beam search, every prefix grown by every likely character."""
    grown = {}
    for prefix, (blank, other) in beams.items():
        sums = grown.setdefault(prefix, [0.0, 0.0])
        sums[0] += (blank + other) * row[BLANK]
        sums[1] += other * row[prefix[-1]] if prefix else 0.0
        for k in begun:
            sums = grown.setdefault((*prefix, k), [0.0, 0.0])
            sums[1] += (blank if prefix and k == prefix[-1] else blank + other) * row[k]
    best = sorted(grown.items(), key=lambda item: -sum(item[1]))[:BEAM]
    return {prefix: tuple(sums) for prefix, sums in best}


@pytest.mark.parametrize("sharpness", [0.0, 1.0, 3.0, 9.0])
@pytest.mark.parametrize("rounded", [False, True])
def test_prefixes_left_out_beforehand_are_none_of_the_best(sharpness, rounded):
    """Rounded, many are as likely as each other to the last bit: their order counts too."""
    rng = np.random.default_rng(7)
    logits = rng.normal(size=(60, len(CHARACTERS) + 1)) * sharpness
    logits[:, BLANK] += rng.choice([0.0, 2.0 * sharpness], 60)
    logits = np.repeat(np.round(logits) if rounded else logits, 2, axis=0)
    beams = {(): (1.0, 0.0)}
    for row in np.exp(log_softmax(logits.astype(np.float32))):
        begun = [k for k in np.flatnonzero(row > LEAST_SHARE).tolist() if k != BLANK]
        expected = whole_step(beams, row.tolist(), begun)
        beams = _step(beams, row.tolist(), begun)
        assert list(beams.items()) == list(expected.items())


@pytest.mark.parametrize("blank", [0.0, 8.0, 40.0])
def test_texts_are_those_of_a_search_frame_by_frame(blank):
    rng = np.random.default_rng(9)
    for frames in (0, 1, 50):
        logits = rng.normal(size=(frames, len(CHARACTERS) + 1))
        logits[np.arange(frames), rng.integers(0, len(CHARACTERS), frames)] += 9.0
        logits[:, BLANK] += rng.choice([0.0, blank, 25.0], frames)
        told = log_softmax(logits.astype(np.float32))
        beams = {(): (1.0, 0.0)}
        for row in np.exp(told).tolist():
            begun = [k for k, share in enumerate(row) if share > LEAST_SHARE and k != BLANK]
            if row[BLANK] > SURE_BLANK:
                beams = {p: ((b + n) * row[BLANK], 0.0) for p, (b, n) in beams.items()}
            else:
                beams = _step(beams, row, begun)
        assert decode(told) == _as_candidates(beams)
        assert len(decode(told)) > 0 or frames < 50
