"""Patterns from the command line to the paper: lines measured back off the PDF, by pikepdf."""

from __future__ import annotations

import hashlib
import itertools
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pikepdf
import pypdf
import pytest

from audit.cli.main import run_command
from audit.lengths import Length, Unit
from audit.records import Decision, NoScale, Scale, ScaleFrom, ViewKind
from audit.store import Decide, create_audit
from tests.report.builders import OUTLINES, Setting, draw_pdf, make_audit

pytestmark = pytest.mark.usefixtures("lent_workers")

MM_PER_PT = 25.4 / 72
READ = ("q", "Q", "cm", "w", "m", "l")  # operators that place straight lines
TRUE_MM = 0.02  # what a pattern promises


def keep(folder, *, setting=None, scale=(2.0, 2.0, 0.0), change=None, build=None):
    """An audit file of the test drawing, with a scale of our own."""
    data = draw_pdf(setting)
    plan = folder / "plan.pdf"
    plan.write_bytes(data)
    audit = make_audit(setting, digest=hashlib.sha256(data).hexdigest())
    made = Scale(
        x=scale[0],
        y=scale[1],
        shear=scale[2],
        covariance=((4e-8, 0.0, 0.0), (0.0, 4e-8, 0.0), (0.0, 0.0, 4e-8)),
        source=ScaleFrom.KNOWN,
    )
    views = tuple(replace(v, scale=made) for v in audit.views)
    audit = replace(audit, views=views)
    if change is not None:
        audit = change(audit)
    path = folder / "plan.audit"
    with create_audit(path, name="plan") as file:
        file.add_source(plan, "plan.pdf")
        file.add_run(audit, revision=file.revision)
        if build is not None:
            first = file.load().dimensions[0].id
            decision = Decision(dimension=first, value=build, reason="asked")
            file.record(Decide(decision=decision), revision=file.revision)
    return path


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """An audit that tests only read, at half size so that it fits one page."""
    return keep(tmp_path_factory.mktemp("kept"), scale=(0.5, 0.5, 0.0))


@pytest.fixture(scope="module")
def plain(kept):
    """Its pattern."""
    out = kept.parent / "plain.pdf"
    assert run_command(["pattern", str(kept), "--view", "1", "-o", str(out)]) == 0
    return out


def lines_of(path, page):
    """Straight lines of a page as it prints, mm from the top left, with their widths."""
    found = []
    with pikepdf.open(path) as pdf:
        height = float(pdf.pages[page].MediaBox[3])
        stack, matrix, width, at = [], np.eye(3), 1.0, None
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[page]):
            if str(operator) not in READ:
                continue
            numbers = [float(o) for o in operands]
            match str(operator):
                case "q":
                    stack.append((matrix, width))
                case "Q":
                    matrix, width = stack.pop()
                case "cm":
                    a, b, c, d, e, f = numbers
                    matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
                case "w":
                    width = numbers[0]
                case "m":
                    at = numbers
                case "l":
                    ends = [np.array([*p, 1.0]) @ matrix for p in (at, numbers)]
                    mm = [(p[0] * MM_PER_PT, (height - p[1]) * MM_PER_PT) for p in ends]
                    found.append((np.array(mm), width * MM_PER_PT))
                    at = numbers
    return found


def cut_lines(path, page):
    return [ends for ends, width in lines_of(path, page) if abs(width - 0.25) < 0.002]


def bar_lengths(path, page):
    """Lengths of the two check bars: the longest level and upright line of their width."""
    lengths = {"across": 0.0, "down": 0.0}
    for (a, b), width in lines_of(path, page):
        if abs(width - 0.12) < 0.002 and min(abs(b - a)) < 1e-6:
            key = "across" if abs(b[1] - a[1]) < 1e-6 else "down"
            lengths[key] = max(lengths[key], float(np.hypot(*(b - a))))
    return lengths["across"], lengths["down"]


def metric_length(vector_mm, scale):
    """Real length of a paper vector, written out from the definition in `Scale`."""
    (dx, dy), (x, y, s) = vector_mm, scale
    return float(np.sqrt(x * x * dx * dx + 2 * x * y * s * dx * dy + y * y * dy * dy))


@pytest.mark.parametrize(
    ("scale", "setting"),
    [
        ((1.0, 1.0, 0.0), None),
        ((1 / 0.985, 1 / 1.004, 0.0), None),
        ((1.013, 0.994, 0.004), Setting(turn=90)),
        ((0.5, 0.5, 0.0), Setting(turn=180, origin=(-30, 40), border=10, unit=2)),
    ],
)
def test_a_pattern_is_true_to_a_fiftieth_of_a_millimetre(tmp_path, scale, setting):
    audit = keep(tmp_path, setting=setting, scale=scale)
    out = tmp_path / "out.pdf"
    assert run_command(["pattern", str(audit), "--view", "1", "-o", str(out)]) == 0
    box = OUTLINES[0]
    wide, tall = box.width * MM_PER_PT, box.height * MM_PER_PT
    if setting is not None and setting.turn == 90:  # the frame lies on its side
        across, down = (0.0, wide), (tall, 0.0)
    else:
        across, down = (wide, 0.0), (0.0, tall)
    wanted = sorted([metric_length(across, scale), metric_length(down, scale)] * 2)
    with pikepdf.open(out) as pdf:
        pages = len(pdf.pages)
    sides = []
    for page in range(1, pages):
        for a, b in cut_lines(out, page):
            sides.append(float(np.hypot(*(b - a))))
    for length in wanted:
        assert min(abs(side - length) for side in sides) < TRUE_MM


def test_the_drawing_lies_upright_whatever_turn_the_page_has(tmp_path):
    audit = keep(tmp_path, setting=Setting(turn=270), scale=(0.5, 0.5, 0.0))
    out = tmp_path / "out.pdf"
    assert run_command(["pattern", str(audit), "--view", "1", "-o", str(out)]) == 0
    points = np.vstack(cut_lines(out, 1))
    assert np.ptp(points[:, 0]) > np.ptp(points[:, 1])  # 300 pt wide, 110 pt tall as seen


def test_check_bars_of_a_stretched_print_recover_both_factors(plain, tmp_path):
    """The page is stretched as a printer does it, the bars measured, the factors worked out."""
    printed = tmp_path / "printed.pdf"
    with pikepdf.open(plain) as pdf:
        for page in pdf.pages:
            page.contents_add(b"q 0.985 0 0 1.004 0 0 cm", prepend=True)
            page.contents_add(b"Q")
        pdf.save(printed)
    across, down = bar_lengths(printed, 1)
    assert across / 152.4 == pytest.approx(0.985, abs=5e-4)
    assert down / 152.4 == pytest.approx(1.004, abs=5e-4)


def test_a_printers_own_factors_are_taken_out(kept, tmp_path):
    out = tmp_path / "out.pdf"
    command = ["pattern", str(kept), "--view", "1", "-o", str(out), "--printer", "0.985x1.004"]
    assert run_command(command) == 0
    across, down = bar_lengths(out, 1)
    assert across * 0.985 == pytest.approx(152.4, abs=TRUE_MM)
    assert down * 1.004 == pytest.approx(152.4, abs=TRUE_MM)
    level = [e for e in cut_lines(out, 1) if abs(e[0][1] - e[1][1]) < 1e-6]
    longest = max(abs(e[1][0] - e[0][0]) for e in level)
    assert longest * 0.985 == pytest.approx(OUTLINES[0].width * MM_PER_PT * 0.5, abs=TRUE_MM)


def test_neighbouring_pages_show_the_same_lines_where_they_overlap(tmp_path):
    audit, out = keep(tmp_path, scale=(4.0, 4.0, 0.0)), tmp_path / "out.pdf"
    command = ["pattern", str(audit), "--view", "1", "-o", str(out), "--paper", "a4"]
    assert run_command(command) == 0
    with pikepdf.open(out) as pdf:
        assert len(pdf.pages) >= 3
    first, second = cut_lines(out, 1), cut_lines(out, 2)
    shifts = {
        (round(float(b[0][0] - a[0][0]), 2), round(float(b[0][1] - a[0][1]), 2))
        for a, b in itertools.product(first, second)
        if np.allclose(b - a, (b - a)[0], atol=1e-3)
    }
    assert len(shifts) == 1
    assert 0.0 in shifts.pop()


def texts_of(path):
    return " ".join(
        " ".join(page.extract_text().split()) for page in pypdf.PdfReader(str(path)).pages
    )


def test_a_changed_size_is_printed_large_and_the_outline_is_left_alone(plain, tmp_path):
    value = Length(Fraction(7, 2), Unit.IN)
    decided = keep(tmp_path, scale=(0.5, 0.5, 0.0), build=value)
    after = tmp_path / "after.pdf"
    assert run_command(["pattern", str(decided), "--view", "1", "-o", str(after)]) == 0
    assert [e.tolist() for e in cut_lines(plain, 1)] == [e.tolist() for e in cut_lines(after, 1)]
    assert "build to 3 1/2 in" in texts_of(after)
    assert "build to 3 1/2 in" not in texts_of(plain)


def test_mirroring_turns_the_outline_over_and_keeps_the_texts(kept, plain, tmp_path):
    other = tmp_path / "other.pdf"
    assert run_command(["pattern", str(kept), "--view", "1", "-o", str(other), "--mirror"]) == 0
    points = [np.vstack(cut_lines(p, 1)) for p in (plain, other)]
    centres = [(p.max(axis=0) + p.min(axis=0)) / 2 for p in points]
    ours = {tuple(np.round(p, 2)) for p in points[0] - centres[0]}
    theirs = {tuple(np.round(p * [-1, 1], 2)) for p in points[1] - centres[1]}
    assert ours == theirs
    assert "mirrored for the other hand" in texts_of(other)


def refusal(capsys):
    lines = [x for x in capsys.readouterr().err.splitlines() if x and not x.startswith("…")]
    assert len(lines) == 1
    return lines[0]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "say what to print"),
        (["--view", "99"], "there is no view 99"),
        (["--part", "WHEEL"], "no part is called WHEEL"),
        (["--view", "1", "--paper", "a3x"], "no paper is called"),
        (["--view", "1", "--grain", "sideways"], "no way of the grain"),
        (["--view", "1", "--overlap", "wide"], "wide"),
        (["--view", "1", "--printer", "2x2"], "no factors of a printer"),
        (["--view", "1", "--dpi", "9000"], "dpi"),
        (["--view", "1", "--centre-line", "5,5"], "is no line"),
        (["--view", "1", "-o", "x.png"], "no PDF name"),
    ],
)
def test_bad_options_get_one_line_and_write_nothing(kept, capsys, arguments, says):
    before = sorted(p.name for p in kept.parent.iterdir())
    assert run_command(["pattern", str(kept), *arguments]) == 2
    assert says in refusal(capsys)
    assert sorted(p.name for p in kept.parent.iterdir()) == before


@pytest.mark.parametrize("kind", [ViewKind.PICTORIAL, ViewKind.NOT_TO_SCALE, ViewKind.BROKEN])
def test_a_view_that_is_not_true_is_no_pattern(tmp_path, capsys, kind):
    def untrue(audit):
        return replace(audit, views=tuple(replace(v, kind=kind) for v in audit.views))

    assert run_command(["pattern", str(keep(tmp_path, change=untrue)), "--view", "1"]) == 2
    assert "lay the part out by its printed sizes" in refusal(capsys)


def test_a_view_without_scale_says_what_would_give_it_one(tmp_path, capsys):
    def bare(audit):
        none = NoScale(reason="too few sizes")
        return replace(audit, views=tuple(replace(v, scale=none) for v in audit.views))

    assert run_command(["pattern", str(keep(tmp_path, change=bare)), "--view", "1"]) == 2
    assert "give a known size" in refusal(capsys)


def test_bars_says_what_two_measures_tell(capsys):
    assert run_command(["bars", "--measured", "147.75 x 147.75 mm", "--unit", "mm"]) == 0
    assert "Print again at 101.52 %" in capsys.readouterr().out
    assert run_command(["bars", "--measured", "six by six"]) == 2
    assert "no two lengths" in refusal(capsys)


def test_the_check_sheet_has_both_bars(tmp_path):
    out = tmp_path / "bars.pdf"
    assert run_command(["bars", "-o", str(out), "--paper", "a4"]) == 0
    assert bar_lengths(out, 0) == pytest.approx((150.0, 150.0), abs=TRUE_MM)
    with pikepdf.open(out) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        assert [float(v) for v in pdf.pages[0].MediaBox] == pytest.approx(
            [0, 0, 210 / MM_PER_PT, 297 / MM_PER_PT], abs=0.01
        )
