"""The search for the likeliest text keeps what one that leaves nothing out beforehand keeps."""

from __future__ import annotations

import numpy as np
import pytest

from audit.networks.alphabet import BLANK, CHARACTERS
from audit.networks.decoding import BEAM, LEAST_SHARE, _step, log_softmax


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
