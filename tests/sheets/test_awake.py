"""No worker is left over, and few are kept awake."""

from __future__ import annotations

import pytest

from audit.errors import BadUsage, Encrypted, NotReadable
from audit.sheets import load_plan
from tests.isolation.files import PdfBuilder, drawing
from tests.isolation.own_workers import own_workers
from tests.sheets.test_load import INK, save_png


def test_nothing_to_open_raises_what_was_wrong(tmp_path):
    import pikepdf

    locked = (
        PdfBuilder()
        .page(INK)
        .save(tmp_path / "locked.pdf", encryption=pikepdf.Encryption(owner="o", user="u"))
    )
    with pytest.raises(Encrypted, match=r"locked\.pdf needs a password"):
        load_plan([locked])
    good = PdfBuilder().page(INK).save(tmp_path / "good.pdf")
    with pytest.raises(NotReadable, match=r"gone\.pdf does not exist"):
        load_plan([good, tmp_path / "gone.pdf"])  # a slip of the pen is not passed over
    with pytest.raises(BadUsage, match="no plan is given"):
        load_plan([])
    assert not own_workers()


def test_only_a_few_workers_are_kept_awake(tmp_path):
    paths = [save_png(tmp_path / f"{i}.png", drawing() // (i + 1)) for i in range(7)]
    with load_plan(paths) as plan:
        assert len(own_workers()) <= 4
        for i, sheet in enumerate(plan.sheets):  # those at rest wake
            assert plan.gray(sheet).pixels.max() == 255 // (i + 1)
        assert len(own_workers()) <= 4
    assert not own_workers()
