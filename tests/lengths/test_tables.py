from __future__ import annotations

import itertools
import re
from fractions import Fraction
from pathlib import Path

import pytest

from audit.lengths import Unit, parse_callouts
from audit.lengths.tables import (
    drill_sizes,
    read_blocks,
    screw_sizes,
    thread_pitches,
    unit_factors,
)

DATA_FILES = ("units.txt", "drills.txt", "threads.txt")
GNU_UNITS = Path("/usr/share/units/definitions.units")  # Debian package `units`


@pytest.mark.parametrize("name", DATA_FILES)
def test_every_block_of_a_data_file_names_its_source(name: str) -> None:
    blocks = read_blocks(name)
    assert blocks
    assert all(block.sources and block.rows for block in blocks.values())


@pytest.mark.parametrize("block", ["numbered screws", "wood screws"])
def test_numbered_screws_follow_the_rule_of_asme_b1_1(block: str) -> None:
    # ASME B1.1 table 1 (number from memory); GNU units: screwgauge(g) = (.06 + .013 g) in.
    for number, major in screw_sizes(block).items():
        assert major.value == Fraction("0.060") + Fraction("0.013") * int(number)


@pytest.mark.parametrize(
    ("number", "inches", "millimetres"),
    [
        # ASME B1.1 basic major diameters, and their exact millimetres.
        ("0", ".060", "1.524"),
        ("4", ".112", "2.8448"),
        ("6", ".138", "3.5052"),
        ("8", ".164", "4.1656"),
        ("10", ".190", "4.826"),
        ("12", ".216", "5.4864"),
    ],
)
def test_number_sizes_have_their_published_diameters(
    number: str, inches: str, millimetres: str
) -> None:
    major = screw_sizes("numbered screws")[number]
    assert major.value == Fraction(inches)
    assert major.to(Unit.MM).value == Fraction(millimetres)


def test_drills_are_complete_and_shrink_with_their_number() -> None:
    sizes = drill_sizes()
    numbers = [sizes[str(n)].value for n in range(1, 81)]
    letters = [sizes[chr(c)].value for c in range(ord("A"), ord("Z") + 1)]
    assert len(sizes) == 106
    assert numbers == sorted(set(numbers), reverse=True)
    assert letters == sorted(set(letters))
    assert numbers[0] < letters[0]


@pytest.mark.parametrize(
    ("name", "right", "rounded"),
    [
        # GNU units drillgauge; the third column is what bd-warehouse 0.4.0 rounds it to.
        ("5", ".2055", ".205"),
        ("10", ".1935", ".193"),
        ("18", ".1695", ".170"),
        ("25", ".1495", ".150"),
        ("28", ".1405", ".140"),
        ("69", ".0292", ".029"),
    ],
)
def test_four_place_drills_are_not_rounded(name: str, right: str, rounded: str) -> None:
    assert drill_sizes()[name].value == Fraction(right) != Fraction(rounded)


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        # Tap drills of common threads (75 % column), bd-warehouse tap_hole_sizes.csv, and letters
        # A, F, I, Q, Z: GNU units drillA … drillZ.
        ("36", ".1065"),
        ("29", ".1360"),
        ("21", ".1590"),
        ("7", ".2010"),
        ("80", ".0135"),
        ("A", ".234"),
        ("F", ".257"),
        ("I", ".272"),
        ("Q", ".332"),
        ("Z", ".413"),
    ],
)
def test_named_drills_have_their_published_diameters(name: str, inches: str) -> None:
    assert drill_sizes()[name].value == Fraction(inches)


@pytest.mark.skipif(not GNU_UNITS.exists(), reason="the Debian package `units` is not installed")
def test_all_drills_equal_those_of_gnu_units() -> None:
    text = GNU_UNITS.read_text(encoding="utf-8-sig")
    letters = dict(re.findall(r"^drill([A-Z])\s+([\d.]+) in$", text, re.MULTILINE))
    assert {name: drill_sizes()[name].value for name in letters} == {
        name: Fraction(value) for name, value in letters.items()
    }
    gauge = text[text.index("drillgauge[in]") :].split("\n\n")[0].split("\n#")[0]
    rows = [(int(n), Fraction(d)) for n, d in re.findall(r"^\s+(\d+)\s+([\d.]+)", gauge, re.M)]
    assert len(letters) == 26
    assert rows[0][0] == 1
    assert rows[-1][0] >= 80
    # GNU units leaves out rows on a straight line between neighbours: interpolate.
    for (n0, d0), (n1, d1) in itertools.pairwise(rows):
        for n in range(n0, min(n1, 80) + 1):
            assert drill_sizes()[str(n)].value == d0 + (d1 - d0) * Fraction(n - n0, n1 - n0)


def test_threads_beside_their_tap_drill_leave_about_three_quarters() -> None:
    # Percent of thread = 76.98 x threads per inch x (D - d) (formula from memory; the five
    # percentages were computed by hand from published sizes).
    rows = {
        "6-32": ("36", 77.6),
        "8-32": ("29", 69.0),
        "10-24": ("25", 74.8),
        "10-32": ("21", 76.4),
    }
    for name, (drill, percent) in rows.items():
        thread = parse_callouts(f"{name} TAP", unit=Unit.IN)[0].thread
        assert thread is not None
        assert thread.major is not None
        depth = thread.major.value - drill_sizes()[drill].value
        assert float(depth * thread.threads_per_inch) * 76.98 == pytest.approx(percent, abs=0.05)


def test_thread_tables_name_known_sizes_only() -> None:
    numbered = {size for size in thread_pitches("unified threads") if size.startswith("#")}
    assert {size[1:] for size in numbered} <= set(screw_sizes("numbered screws"))
    assert thread_pitches("unified threads")["1/4"][:2] == (20, 28)
    assert thread_pitches("metric threads")["M6"][0] == 1


def test_units_are_exact() -> None:
    assert unit_factors()["FT"] == (12, Unit.IN)
    assert unit_factors()["YD"] == (36, Unit.IN)
    assert unit_factors()["CM"] == (10, Unit.MM)
    assert unit_factors()["SECOND"] == (Fraction(1, 3600), Unit.DEG)
