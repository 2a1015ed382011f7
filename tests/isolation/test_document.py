"""A document as the rest of the program sees it: opened, stopped, opened once more, closed."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from audit.errors import AuditError, BadUsage, CannotWrite, NotReadable, TooLarge, WorkerStopped
from audit.isolation import Limits, SourceKind, open_document
from audit.isolation.document import Document
from audit.isolation.process import WorkerProcess
from tests.isolation.files import PdfBuilder, crowded_page, drawing, nested_forms
from tests.isolation.own_workers import own_workers

TIGHT = Limits(open_seconds=0.6, page_seconds=0.6)


def line_page(builder: PdfBuilder) -> PdfBuilder:
    return builder.page(b"0 0 m 99 99 l S")


def workers() -> set[int]:
    return {child.pid for child in own_workers()}


def test_a_page_that_never_ends_is_stopped_and_the_others_still_read(tmp_path):
    builder = line_page(nested_forms(line_page(PdfBuilder())))
    with open_document(builder.save(tmp_path / "plan.pdf"), limits=TIGHT) as doc:
        assert doc.look(1).vector_items == 1
        with pytest.raises(WorkerStopped) as caught:
            doc.look(2)
        assert str(caught.value) == (
            "page 2 of plan.pdf took longer than the 0.6 s allowed: "
            "print the page to a new PDF, or scan it, and use that instead"
        )
        assert doc.look(3).vector_items == 1  # opened once more
        before = workers()
        with pytest.raises(WorkerStopped, match=r"page 2 of plan\.pdf took longer"):
            doc.look(2)  # what stopped the reader once is not tried again
        assert workers() == before


def test_a_page_that_draws_too_much_is_refused_by_its_count_before_it_is_read(tmp_path):
    path = line_page(PdfBuilder().page(b"0 0 m 99 99 l S " * 30)).save(tmp_path / "plan.pdf")
    with open_document(path, limits=Limits(items=29)) as doc:
        with pytest.raises(TooLarge) as caught:
            doc.vector_page(1)
        assert str(caught.value) == (
            "plan.pdf, page 1: 30 things are drawn on it, more than the 29 that can be read: "
            "print it in parts, or print it on paper and scan that"
        )
        assert len(doc.vector_page(2).strokes) == 1
    with open_document(path, limits=Limits(items=30)) as doc:
        assert len(doc.vector_page(1).strokes) == 30


def test_a_document_that_stops_the_reader_twice_stays_closed(tmp_path):
    builder = line_page(nested_forms(nested_forms(PdfBuilder())))
    before = workers()
    with open_document(builder.save(tmp_path / "plan.pdf"), limits=TIGHT) as doc:
        for page in (1, 2):
            with pytest.raises(WorkerStopped, match="took longer"):
                doc.look(page)
        with pytest.raises(WorkerStopped, match=r"plan\.pdf stopped the reader 2 times and stays"):
            doc.look(3)
    assert workers() == before


def test_a_page_that_unpacks_to_millions_of_lines_meets_the_memory_limit(tmp_path):
    path = crowded_page(PdfBuilder(), lines=2_000_000).save(tmp_path / "crowded.pdf")
    assert path.stat().st_size < 300_000
    limits = Limits(memory_bytes=160 * 1024 * 1024)
    stopped = pytest.raises(AuditError, match=r"crowded\.pdf.*(160 MB of memory|more memory)")
    with open_document(path, limits=limits) as doc, stopped:
        doc.look(1)


def test_closing_leaves_no_worker_and_no_files(tmp_path):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    before = workers()
    with open_document(path) as doc:
        image = doc.render(1, dpi=30)
        folder = doc._folder
        assert len(workers() - before) == 1
        assert not list(folder.glob("*.gray"))  # mapped, then unlinked
    assert workers() == before
    assert not folder.exists()
    assert image.pixels.min() < 120  # what was handed out stays good
    with pytest.raises(ValueError, match="read-only"):
        image.pixels[0, 0] = 1
    with pytest.raises(BadUsage, match=r"plan\.pdf was closed"):
        doc.render(1)


def test_a_resting_document_wakes_when_asked(tmp_path):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    before = workers()
    with open_document(path) as doc:
        doc.rest()
        assert workers() == before
        for _ in range(3):  # resting is no fault: any number of times
            assert doc.render(1, dpi=30).pixels.shape == (330, 255)
            doc.rest()


def test_a_file_changed_meanwhile_is_not_read_on(tmp_path):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    with open_document(path) as doc:
        doc.rest()
        line_page(line_page(PdfBuilder())).save(path)
        with pytest.raises(NotReadable, match=r"plan\.pdf changed meanwhile: start again"):
            doc.look(1)


def test_the_digest_is_the_sha256_of_the_file(tmp_path):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    with open_document(path) as doc:
        assert doc.digest == hashlib.sha256(path.read_bytes()).hexdigest()


def test_a_picture_has_no_lines_and_is_not_rendered(tmp_path):
    path = tmp_path / "scan.png"
    Image.fromarray(drawing()).save(path)
    with open_document(path) as doc:
        assert doc.info.kind is SourceKind.IMAGE
        assert doc.look(1).picture_share == 1.0
        with pytest.raises(BadUsage, match=r"scan\.png is a picture"):
            doc.vector_page(1)
        with pytest.raises(BadUsage, match=r"scan\.png is a picture"):
            doc.render(1)


def test_content_counts_not_the_name(tmp_path):
    path = tmp_path / "plan.pdf"
    Image.fromarray(drawing()).save(path, "PNG")
    with open_document(path) as doc:
        assert doc.info.kind is SourceKind.IMAGE
        assert doc.info.remarks == ("the name ends in .pdf but the content is PNG; read as PNG",)
        assert np.array_equal(doc.raster(1).pixels, drawing())


def test_a_failed_opening_leaves_nothing_behind(tmp_path):
    path = tmp_path / "broken.pdf"
    path.write_bytes(b"%PDF-1.7\n")
    before, cache = workers(), Path(os.environ["PLAN_AUDIT_CACHE"])
    with pytest.raises(AuditError):
        open_document(path)
    assert workers() == before
    assert not list(cache.iterdir())


def test_pixels_that_do_not_fill_the_picture_are_refused(tmp_path, monkeypatch):
    """As a worker taken over by its file might claim."""
    path = tmp_path / "scan.png"
    Image.fromarray(drawing()).save(path)
    honest = WorkerProcess.ask

    def lying(self, request, **keys):
        answer = honest(self, request, **keys)
        if type(request).__name__ == "DecodePicture":
            request.target.write_bytes(b"short")
        return answer

    with open_document(path) as doc:
        monkeypatch.setattr(WorkerProcess, "ask", lying)
        with pytest.raises(WorkerStopped, match="a wrong number of pixels"):
            doc.raster(1)


def test_a_marked_up_copy_that_cannot_be_written_says_so_and_leaves_nothing(tmp_path, monkeypatch):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    target = tmp_path / "missing" / "marked.pdf"

    def written(self, request, *_, **__):
        request.target.write_bytes(b"%PDF-")
        return type("Done", (), {"remarks": ()})()

    with open_document(path) as doc:
        monkeypatch.setattr(Document, "_ask_about", written)
        with pytest.raises(CannotWrite, match=r"marked\.pdf cannot be written \(No such file"):
            doc.mark_up(SimpleNamespace(sheets=()), target)
        good = tmp_path / "marked.pdf"
        doc.mark_up(SimpleNamespace(sheets=()), good)
        assert good.read_bytes() == b"%PDF-"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["marked.pdf", "plan.pdf"]


def test_marking_up_may_take_longer_the_more_sheets_there_are(tmp_path, monkeypatch):
    path = line_page(PdfBuilder()).save(tmp_path / "plan.pdf")
    allowed = []

    def written(self, request, *_, seconds, **__):
        allowed.append(seconds)
        request.target.write_bytes(b"%PDF-")
        return SimpleNamespace(remarks=())

    with open_document(path) as doc:
        monkeypatch.setattr(Document, "_ask_about", written)
        for count in (1, 30):
            doc.mark_up(SimpleNamespace(sheets=(None,) * count), tmp_path / "marked.pdf")
        assert allowed == [doc.limits.page_seconds, 30 * doc.limits.page_seconds]
