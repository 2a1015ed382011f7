from __future__ import annotations

import statistics
import subprocess
import sys
import time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.lengths import (
    Callout,
    CalloutKind,
    CountForm,
    Length,
    Mark,
    PrintedTolerance,
    Style,
    Unit,
    describe_callout,
    form_rows,
    is_ambiguous,
    is_size_like,
    parse_callouts,
    spell,
)
from audit.lengths import callouts as callouts_module
from audit.lengths.callouts import MAX_CALLOUT_TEXT
from audit.lengths.spellings import MAX_SPELLINGS
from tests.lengths.strategies import shop_lengths


def read(text: str, unit: Unit | None = Unit.IN) -> Callout:
    found = parse_callouts(text, unit=unit)
    assert found, f"no callout: {text}"
    return found[0]


def test_full_callout_is_taken_apart() -> None:
    callout = read("6X R 3/8 TYP")
    assert callout.text == "6X R 3/8 TYP"
    assert callout.kind is CalloutKind.RADIUS
    assert callout.size == Length(Fraction(3, 8), Unit.IN)
    assert (callout.count, callout.count_form) == (6, CountForm.TIMES)
    assert callout.marks == {Mark.TYPICAL}
    assert not callout.unit_printed
    assert not callout.reference


def test_unit_comes_from_the_text_then_from_the_caller_and_is_never_guessed() -> None:
    assert read("42 mm", Unit.IN).size == Length(Fraction(42), Unit.MM)
    assert read("42", Unit.MM).size == Length(Fraction(42), Unit.MM)
    bare = read("42", None)
    assert bare.size is None
    assert bare.remark == "no unit: the sheet must say what a number counts"
    fraction = read("7/8", None)
    assert fraction.size == Length(Fraction(7, 8), Unit.IN)
    assert (fraction.unit_printed, fraction.remark) == (False, "fraction: inches")


def test_a_unit_printed_once_holds_for_the_whole_callout() -> None:
    assert read("25 x 50 mm").size == Length(Fraction(25), Unit.MM)
    assert read('.500 ±.005"', Unit.MM).size == Length(Fraction(1, 2), Unit.IN)
    mixed = read("1/2 x 13 mm")
    assert (mixed.size, mixed.second) == (
        Length(Fraction(1, 2), Unit.IN),
        Length(Fraction(13), Unit.MM),
    )


@pytest.mark.parametrize(
    ("text", "upper", "lower"),
    [
        ("2 1/4 ±1/64", "1/64", "-1/64"),
        ("1.250 +.005 -.000", ".005", "0"),
        ("1.250 +.005/-.002", ".005", "-.002"),
        ("1.250\n+.005\n-.002", ".005", "-.002"),
        ("1.250 -.002 +.005", ".005", "-.002"),
        ("1.250 -.005", "0", "-.005"),
    ],
)
def test_deviations_are_signed_and_exact(text: str, upper: str, lower: str) -> None:
    tolerance = read(text).tolerance
    assert tolerance == PrintedTolerance(upper=Fraction(upper), lower=Fraction(lower))


@pytest.mark.parametrize("text", [".500/.495", ".505\n.485", ".500 - .490 DIA", ".490 TO .500"])
def test_limits_give_their_mean_and_both_ends(text: str) -> None:
    callout = read(text)
    assert callout.size is not None
    assert callout.tolerance is not None
    ends = {
        callout.size.value + callout.tolerance.upper,
        callout.size.value + callout.tolerance.lower,
    }
    printed = {
        Fraction(part) for part in text.replace("\n", " ").replace("/", " ").split() if "." in part
    }
    assert ends == printed
    assert callout.step == Fraction(1, 1000)


def test_minutes_beside_an_angle_are_minutes() -> None:
    assert read("60° ±30'").tolerance == PrintedTolerance(
        upper=Fraction(1, 2), lower=Fraction(-1, 2)
    )


def test_caller_who_expects_an_angle_gets_one_unless_a_sign_says_otherwise() -> None:
    assert read("45", Unit.DEG).size == Length(Fraction(45), Unit.DEG)
    assert read("45", Unit.DEG).kind is CalloutKind.ANGLE
    assert read("30'", Unit.DEG).size == Length(Fraction(1, 2), Unit.DEG)
    assert read("R 12.5", Unit.DEG).size is None
    assert read("R 3/8", Unit.DEG).size == Length(Fraction(3, 8), Unit.IN)


def test_pair_that_converts_one_way_only_overrules_the_sheet() -> None:
    for unit in (None, Unit.IN, Unit.MM):
        callout = read("25.4 [1]", unit)
        assert callout.size == Length(Fraction(127, 5), Unit.MM)
        assert callout.alternate == Length(Fraction(1), Unit.IN)
        assert callout.alternate.unit is Unit.IN
        assert callout.unit_printed


def test_trade_sizes_are_pairs_though_they_convert_loosely() -> None:
    pair, count = parse_callouts("1/2 (12)", unit=Unit.IN)
    assert pair.alternate == Length(Fraction(12), Unit.MM)
    assert (count.count, count.rank) == (12, 1)
    assert all(c.alternate is None for c in parse_callouts("1/2 (15)", unit=Unit.IN))


def test_tolerance_in_another_unit_is_converted_exactly() -> None:
    assert read('1" ±0.5 mm').tolerance == PrintedTolerance(
        upper=Fraction(5, 254), lower=Fraction(-5, 254)
    )


def test_name_of_a_pipe_is_no_diameter() -> None:
    callout = read("1/4 NPT")
    assert callout.size is None
    assert callout.remark == "a pipe's name is not its diameter"


def test_pair_that_does_not_convert_is_kept_for_the_checks() -> None:
    callout = read("3 1/2 [98.9 mm]")
    assert callout.alternate == Length(Fraction("98.9"), Unit.MM)


def test_enclosed_small_number_has_all_three_readings() -> None:
    count, reference, second = parse_callouts("(2)", unit=Unit.IN)
    assert (count.count, count.count_form, count.size) == (2, CountForm.PARENTHESES, None)
    assert (reference.size, reference.reference) == (Length(Fraction(2), Unit.IN), True)
    assert (second.size, second.alternate) == (None, Length(Fraction(2), Unit.MM))
    assert is_ambiguous((count, reference, second))


def test_fit_keeps_its_case_and_its_limits_are_not_invented() -> None:
    callout = read("Ø25 H7/g6", Unit.MM)
    assert (callout.fit, callout.tolerance, callout.kind) == ("H7/g6", None, CalloutKind.DIAMETER)
    assert read("50 h7", Unit.MM).fit == "h7"
    assert all(not c.fit for c in parse_callouts("2 R5", unit=Unit.MM))


def test_boxed_number_is_basic_only_where_a_word_says_so() -> None:
    assert Mark.BASIC not in read("[1.250]").marks
    assert Mark.BASIC in read("[1.250] BSC").marks


def test_bare_number_name_is_a_drill_or_a_screw() -> None:
    drill, screw = parse_callouts("#10", unit=Unit.IN)
    assert drill.size == Length(Fraction("0.1935"), Unit.IN)
    assert screw.size == Length(Fraction("0.190"), Unit.IN)
    assert is_ambiguous((drill, screw))
    assert [c.drill for c in parse_callouts("#10 DRILL", unit=Unit.IN)] == ["10"]
    assert [c.drill for c in parse_callouts("#10 SCREW", unit=Unit.IN)] == [""]


def test_thread_name_fixes_its_unit_on_any_sheet() -> None:
    assert read("1/4-20", Unit.MM).size == Length(Fraction(1, 4), Unit.IN)
    metric = read("M6×1", Unit.IN)
    assert metric.size == Length(Fraction(6), Unit.MM)
    assert metric.thread is not None
    assert metric.thread.pitch == Length(Fraction(1), Unit.MM)


def test_second_feature_keeps_its_own_depth() -> None:
    callout = read("Ø1/4 THRU ⌴ Ø1/2 ↧ 1/8")
    [counterbore] = callout.further
    assert callout.second is None
    assert callout.marks == {Mark.THROUGH}
    assert counterbore.second == Length(Fraction(1, 8), Unit.IN)
    assert counterbore.marks == {Mark.COUNTERBORE, Mark.DEEP}


def test_unknown_words_are_named_beside_a_clear_size() -> None:
    assert read("FLANGE 3/8 R").remark == "not understood: FLANGE"
    assert parse_callouts("FLANGE 3", unit=Unit.IN) == ()
    assert parse_callouts("ONE MORE LONG WORDY TEXT ABOUT A 3/8 R", unit=Unit.IN) == ()


def test_never_corrected_to_a_shop_fraction() -> None:
    for text in ("3 5/7", "10 1/10", "2 3/65", ".3751", "7/63"):
        callout = read(text)
        whole, _, rest = text.rpartition(" ")
        assert callout.size is not None
        assert callout.size.value == Fraction(whole or 0) + Fraction(rest)


@settings(max_examples=150)
@given(
    length=shop_lengths(),
    style=st.sampled_from((Style.PLAIN, Style.FRACTION, Style.DECIMAL, Style.FEET)),
    count=st.integers(2, 24),
    sign=st.sampled_from(("R ", "Ø", "")),
    tail=st.sampled_from(("", " TYP", " REF", " (TYP)", " MAX", " THRU")),
)
def test_what_is_put_into_a_callout_comes_out(
    length: Length, style: Style, count: int, sign: str, tail: str
) -> None:
    callout = read(f"{count}X {sign}{spell(length, style=style)}{tail}")
    assert callout.size == length
    assert callout.count == count
    assert callout.reference == (tail == " REF")
    assert callout.kind.value.startswith({"R ": "radius", "Ø": "diameter", "": "distance"}[sign])


_VARIANTS = (
    ('"', "″"),
    ('"', "”"),
    ("'", "’"),
    ("'", "′"),
    ("Ø", "⌀"),
    ("Ø", "φ"),
    ("/", "⁄"),
    ("-", "–"),
    ("×", "✕"),
    ("±", "+/-"),
    ("°", "º"),
    (" ", "  "),
    (" ", "\u00a0"),
    (" ", "\u2009"),
)
_CALLOUT_ROWS = [row for row in form_rows() if not row.is_statement]


@pytest.mark.parametrize(("plain", "variant"), _VARIANTS)
def test_look_alike_signs_and_spaces_change_no_reading(plain: str, variant: str) -> None:
    changed = [row for row in _CALLOUT_ROWS if plain in row.text]
    assert changed
    for row in changed:
        text = f" {row.text.replace(plain, variant)} "
        again = [describe_callout(c) for c in parse_callouts(text, unit=row.unit)]
        assert again == [describe_callout(c) for c in parse_callouts(row.text, unit=row.unit)]


def test_small_letters_read_like_capitals_except_in_fits() -> None:
    for row in _CALLOUT_ROWS:
        if "fit" in " ".join(row.readings):
            continue
        lower = parse_callouts(row.text.lower(), unit=row.unit)
        upper = parse_callouts(row.text.upper(), unit=row.unit)
        assert [describe_callout(c).upper() for c in lower] == [
            describe_callout(c).upper() for c in upper
        ], row.text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "MARBLE LIFT",
        "CAM",
        "A",
        "B-4",
        "SECTION A-A",
        "DETAIL B",
        "SHEET 2 OF 3",
        "12/25/1987",
        "5-16-94",
        "JAN 5, 1994",
        "555-1234",
        "(555) 123-4567",
        "1-800-555-1234",
        "5551234",
        "ML-102",
        "P/N 12-3456",
        "007",
        "7/0",
        "1/4 1/2",
        "3 1/2 1/4",
        "1:2",
        "SCALE 1/2",
        "HALF SIZE",
        "$3.50",
        "AGES 3 AND UP",
        "CUT SLOWLY",
        "©1994",
        "v1.2.3",
        "10:30 AM",
        "50%",
        "((((((3",
        "3))",
        "×",
        "± ±",
    ],
)
def test_what_is_no_callout_has_no_reading(text: str) -> None:
    assert parse_callouts(text, unit=Unit.IN) == ()


@pytest.mark.parametrize(
    "text",
    ['3 9/32"', "Ø.250 THRU", "R 3/8 (TYP)", "(X2)", "42", "1'-6", '"', "EQ SP", "DO", "#10 DRILL",
     "ABOUT 3/8 OR SO WHERE MARKED", "± 1/16", "60°", "1 1/2 R 1/8", "Q3/8?", "7/16 something"],
)  # fmt: skip
def test_texts_that_could_be_sizes_are_accounted_for(text: str) -> None:
    assert is_size_like(text)


@pytest.mark.parametrize(
    "text",
    ["SECTION A-A", "MARBLE LIFT", "TYP", "SHEET 2 OF 3", "12/25/1987", "555-1234", "SCALE 1:2",
     "ML-102", "B-4", "", "HALF SIZE", "THE BIG RED HANDLE"],
)  # fmt: skip
def test_texts_that_are_plainly_something_else_are_not(text: str) -> None:
    assert not is_size_like(text)


HOSTILE = [
    "(" * 190,
    "1 " * 95,
    "1/2 x " * 30,
    "R" * 190,
    "((1)" * 45,
    "1,250" * 38,
    "X" * 190,
    "9" * 190,
    "1-" * 95,
    "1'-" * 60,
    "1x1X" * 45,
    "+1-1" * 45,
    "1/1" * 60,
    "(" * 90 + "1" + ")" * 90,
    "1-1/2 " * 30,
    "\n".join(["1-1/2 x 11/16"] * 14),
]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda t: t[:8])
def test_hostile_text_is_answered_at_once(text: str) -> None:
    parse_callouts("3/8", unit=Unit.IN)
    begun = time.process_time()  # whatever else the machine does
    found = parse_callouts(text, unit=Unit.IN)
    assert time.process_time() - begun < 0.5
    assert len(found) <= 3 * MAX_SPELLINGS


def test_text_over_the_limit_is_no_callout() -> None:
    assert parse_callouts("3/8 " + " " * MAX_CALLOUT_TEXT, unit=Unit.IN) == ()
    assert parse_callouts("R 3/8 " * 1_000_000, unit=Unit.IN) == ()
    assert not is_size_like("the " * 1_000_000)


@settings(max_examples=200)
@given(st.text(max_size=80) | st.text("0123456789/ '\"-.,°xXRØ()[]#+±TYPDIA\n", max_size=40))
def test_any_text_is_answered_without_an_error(text: str) -> None:
    for unit in (Unit.IN, None):
        found = parse_callouts(text, unit=unit)
        assert [c.rank for c in found] == sorted(c.rank for c in found)
        assert not found or found[0].rank == 0


def _seconds(text: str) -> float:
    times = []
    for _ in range(5):
        callouts_module._parse.cache_clear()
        begun = time.process_time()  # others may use the machine meanwhile
        parse_callouts(text, unit=Unit.IN)
        times.append(time.process_time() - begun)
    return min(times)


def test_time_grows_no_faster_than_the_text() -> None:
    unit = "Ø1/2 ↧ 1/4 ⌴ "
    short, long = unit * 3, unit * 12
    _seconds(long)
    # four times the text; sixteen times the time would be quadratic
    assert _seconds(long) < 10 * _seconds(short)


def test_callouts_are_read_in_well_under_two_milliseconds() -> None:
    texts = [row.text for row in _CALLOUT_ROWS]
    for text in texts:
        parse_callouts(text, unit=Unit.IN)
    assert statistics.median(_seconds(text) for text in texts) < 0.002


def test_importing_the_layer_loads_no_parser_library() -> None:
    code = "import sys, audit.lengths; sys.exit('lark' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_number_too_long_to_be_stored_is_no_callout() -> None:
    assert parse_callouts("1,000", unit=Unit.MM)
    assert parse_callouts("1" + ",000" * 20, unit=Unit.MM) == ()


@pytest.mark.parametrize("text", ['1° TO 5"', '1" TO 5°', "1° TO 5"])
def test_limits_of_an_angle_and_a_length_are_none(text):
    assert parse_callouts(text, unit=Unit.IN) == ()


@pytest.mark.parametrize(
    ("text", "doubt"),
    [("18)", "bracket"), ("(.50", "bracket"), ("2 A", "letter"), ("(18)", ""), ("2 R", "")],
)
def test_what_may_be_cut_off_with_a_size_is_told(text, doubt):
    remark = read(text).remark
    assert doubt in remark
    assert doubt or "missing" not in remark


@pytest.mark.parametrize("text", ["1.2S", ".37S", "3.7B", ".62S TYP", "1.25 I", "2.3 WIRING"])
def test_letters_at_a_decimal_that_may_be_misread_figures_make_no_size(text):
    assert parse_callouts(text, unit=Unit.IN) == ()
    assert read(".50 WEB").size == Length(Fraction(1, 2), Unit.IN)


@pytest.mark.parametrize("text", ["C 1/4-20", "C 10-32 TAP", "c 8-32"])
def test_a_letter_before_a_thread_is_read_without_an_error(text):
    assert read(text).kind is CalloutKind.THREAD


def test_a_size_behind_where_it_runs_to_is_read():
    assert read("TO BASE 1 1/2").size == Length(Fraction(3, 2), Unit.IN)
    assert read("1 1/2 TO BASE").size == Length(Fraction(3, 2), Unit.IN)


@pytest.mark.parametrize("text", ["TAP 3/16-32", 'TAP 3/16"-32', "TAPPED 5/32-36", "TAP 1/8-40"])
def test_a_tap_before_a_size_that_no_table_has_makes_a_thread_of_it(text):
    callout = read(text)
    assert callout.kind is CalloutKind.THREAD
    assert callout.size == Length(read(text.split()[1].split("-")[0]).size.value, Unit.IN)


@pytest.mark.parametrize("text", ["TAP .250-20", ".250-20 UNC-2B", ".250-20 TAP"])
def test_a_thread_may_be_named_by_its_decimal_diameter(text):
    callout = read(text)
    assert callout.thread is not None
    assert callout.thread.threads_per_inch == 20
    assert callout.size == Length(Fraction(1, 4), Unit.IN)


@pytest.mark.parametrize("text", [".250-.260", ".250 -.005", ".250-20"])
def test_a_decimal_before_a_dash_is_no_thread_without_a_word(text):
    assert all(c.thread is None for c in parse_callouts(text, unit=Unit.IN))


@pytest.mark.parametrize(
    ("text", "count", "size"),
    [
        ("DRILL 1/4 - 6 HOLES", 6, "1/4"),
        ("DRILL 1/4-6 HOLES", 6, "1/4"),
        ('3/16" DRILL 2 HOLES', 2, "3/16"),
        ("4 - 3/16 DRILL", 4, "3/16"),
        ("2 - 1/4-20 TAP", 2, "1/4"),
        ("4 - #29 DRILL", 4, "0.136"),
        ("2-10-32 TAP", 2, "0.19"),
    ],
)
def test_a_dash_stands_between_holes_and_how_many_there_are(text, count, size):
    callout = read(text)
    assert callout.count == count
    assert callout.size == Length(Fraction(size), Unit.IN)


def test_a_dash_without_room_still_belongs_to_a_mixed_number_or_a_thread():
    assert read("1-3/16 DRILL").size == Length(Fraction(19, 16), Unit.IN)
    assert read("1 - 3/16 DRILL").size == Length(Fraction(19, 16), Unit.IN)
    assert read("1/4-20 HOLES").count is None


@pytest.mark.parametrize("text", ["DRILL & TAP 1/4-20 HOLES", "DRILL AND TAP 1/4-20 PLACES"])
def test_a_number_close_behind_a_tapped_size_is_a_pitch_though_the_hole_is_drilled(text):
    callout = read(text)
    assert callout.thread is not None
    assert callout.count is None


def test_how_deep_a_hole_is_may_stand_behind_a_dash():
    callout = read("DRILL 3/16 - 3/4 DEEP")
    assert callout.kind is CalloutKind.DIAMETER
    assert callout.size == Length(Fraction(3, 16), Unit.IN)
    assert callout.second == Length(Fraction(3, 4), Unit.IN)
    assert read(".250-.260 DEEP").tolerance is not None
