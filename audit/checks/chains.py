"""Chains that do not add up: which number is wrong, what closes them, and what rests on what.

A chain closed with its overall is normal on shop plans and no finding. An open one is told once:
for the number that is wrong when it can be named, else for all that may be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from audit.checks.chain_words import LONGEST_TOLD, MARK, ChainWords
from audit.checks.culprits import find_smallest_sets
from audit.checks.far_off import ASKED_LINES
from audit.checks.governed import govern_alike
from audit.checks.loops import LegNetwork, Loop, explain_gap, make_loop
from audit.checks.network import doubt_legs, drawn_test
from audit.checks.slips import name_slip
from audit.checks.stations import Leg, StationLine
from audit.checks.words import say_measured
from audit.lengths import Length, Unit, parse_length, shop_values
from audit.records import (
    Dimension,
    Finding,
    Side,
    Verdict,
    View,
    Witness,
    WitnessKind,
)
from audit.scale.findings import join_words, name_view, say

MOST_COMPARED = 12  # optima the drawing is asked about
FINEST = {Unit.IN: Fraction(1, 64), Unit.MM: Fraction(1, 10), Unit.DEG: Fraction(1)}
CLOSE_AT_MM = 0.4  # a 64th: a value that closes a chain so near to the drawn one is meant
PAPER_NOISE = 0.25  # of a gap: what two lines taken as one must at least explain to be blamed


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainsChecked:
    """What the chains of an audit came to.

    Attributes
    ----------
    findings : tuple of Finding
        C1xx, with id 0.
    summed : frozenset of int
        Dimensions that some sum checks.
    named : frozenset of int
        Dimensions a chain finding names as wrong: their own warnings are withdrawn.
    closed : Mapping of int to str
        A sum that closes with the printed size, in words, by dimension.
    """

    findings: tuple[Finding, ...]
    summed: frozenset[int]
    named: frozenset[int]
    closed: Mapping[int, str]


def check_chains(
    lines: Iterable[StationLine], dimensions: Iterable[Dimension], views: Iterable[View]
) -> ChainsChecked:
    """Add up every loop of printed sizes.

    Parameters
    ----------
    lines : Iterable[StationLine]
        From `find_lines`.
    dimensions : Iterable[Dimension]
        Of the audit, judged.
    views : Iterable[View]
        Of the audit, scaled.

    Returns
    -------
    ChainsChecked
        Findings, and which dimensions were summed.
    """
    by_id, of_view = {d.id: d for d in dimensions}, {v.id: v for v in views}
    findings: list[Finding] = []
    summed: set[int] = set()
    named: set[int] = set()
    closed: dict[int, str] = {}
    for each in lines:
        line = govern_alike(each, by_id)
        for chain in _components(line, by_id, of_view[line.view]):
            summed |= {chain.legs[k].dimension for loop in chain.loops for k, _ in loop.legs}
            if chain.network.find_open_loop() is None:
                findings += chain.tell_rounding() + chain.tell_untried()
                closed |= chain.closed_sums()
            else:
                told = [t for t in chain.tell_open() if not chain.is_of_another_line(t)]
                findings += [t for t in told if not chain.is_set_aside(t)]
                named |= {n for t in told if t.code == "C101" for n in t.dimensions}
            findings += chain.tell_reference()
    return ChainsChecked(
        findings=tuple(findings),
        summed=frozenset(summed),
        named=frozenset(named),
        closed=closed,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Chain:
    """The legs of a line that hang together; `places` are theirs in `line.used`."""

    line: StationLine
    by_id: Mapping[int, Dimension]
    places: tuple[int, ...]
    references: tuple[Leg, ...]
    network: LegNetwork
    loops: tuple[Loop, ...]
    words: ChainWords

    def tell_rounding(self) -> list[Finding]:
        """Tell of the widest gap that rounding explains, once."""
        gaps = [loop for loop in self.loops if loop.gap != 0]
        if not gaps:
            return []
        widest = max(gaps, key=lambda loop: abs(loop.gap))
        text = (
            f"{self.words.say_sum(widest)}. Rounding of the printed numbers may explain it: "
            f"{self.words.say(widest.worst)} at most, {float(widest.likely):.3g}"
            f"{MARK[self.line.unit]} as a rule."
        )
        if abs(widest.gap) > widest.likely:
            text += " It is more than rounding usually leaves."
        legs = [self.legs[k].dimension for k, _ in widest.legs]
        return [say("C103", text, places=self.words.places_of(legs), dimensions=legs)]

    def tell_untried(self) -> list[Finding]:
        """Tell where too many sizes hang together for every sum of them to be looked at."""
        if not self.network.gave_up:
            return []
        legs = dict.fromkeys(leg.dimension for leg in self.legs)
        text = (
            f"{len(legs)} sizes that may be rounded hang together in {name_view(self.words.view)}: "
            "not every sum of them was tried. Add up by hand what must fit."
        )
        return [say("C109", text, places=self.words.places_of(legs), dimensions=list(legs))]

    def tell_reference(self) -> list[Finding]:
        """Compare the sizes given for information with what the others come to."""
        if self.network.find_open_loop() is not None:
            return []
        told = []
        for leg in self.references:
            span = self.network.span(leg.a, leg.b)
            way = self.network.way(leg.a, leg.b)
            if span is None or not way:
                continue
            if abs(span - leg.value) <= explain_gap([leg, *(self.legs[k] for k, _ in way)]):
                continue
            text = (
                f"{self.words.name(leg)} is for reference only, but the sizes it sums up come to "
                f"{self.words.say(span)}. Build to those."
            )
            finding = say(
                "C104",
                text,
                places=self.words.places_of([leg.dimension]),
                dimensions=[leg.dimension],
                witnesses=[self.chain_witness(self.words.say(span))],
                rests_on=self.words.rests_on(way),
            )
            told.append(replace(finding, suggestion=self.words.suggest(span)))
        return told

    def closed_sums(self) -> dict[int, str]:
        """Say for each dimension of a closed loop the shortest sum that closes with it."""
        said: dict[int, str] = {}
        for loop in sorted(self.loops, key=lambda loop: len(loop.legs)):
            for k, _ in loop.legs:
                if len(loop.legs) > 2 and loop.gap == 0:
                    said.setdefault(self.legs[k].dimension, self.words.say_sum(loop))
        return said

    def tell_open(self) -> list[Finding]:
        """Name what is wrong in an open chain, or what may be."""
        loop = self.network.find_open_loop()
        if loop is None:
            return []
        if self._lines_explain(loop):
            return [self._doubt_stations(loop)]
        sets = find_smallest_sets(self.network)
        possible = [s for s in sets.sets if all(self._is_possible(k, s) for k in s)]
        wrong, drawn = self._decide(possible, complete=sets.complete)
        if wrong:
            told = {self.legs[k].dimension: k for k in sorted(wrong, reverse=True)}
            return [self._name(k, wrong, drawn=drawn) for k in sorted(told.values())]
        suspects = sorted(frozenset().union(*possible)) if possible else [k for k, _ in loop.legs]
        one_each = {self.legs[k].dimension: k for k in reversed(suspects)}
        ranked = sorted(sorted(one_each.values()), key=self._borne_out, reverse=True)
        return [self._suspect(ranked, loop)]

    def _borne_out(self, k: int) -> float:
        """How far a size is off what is drawn, squared, less what closes the chain; by U.

        0 where the drawing hardly tells.
        """
        leg = self.legs[k]
        span = self.network.span(leg.a, leg.b, without=self.network.alike[k])
        drawn = self.line.drawn_between(leg.a, leg.b)
        if span is None or drawn is None:
            return 0.0
        value, expanded = drawn
        off, closing = (float(v) - value for v in (leg.value, span))
        told = (off**2 - closing**2) / max(expanded, 1e-9) ** 2
        return told if told > 1.0 else 0.0

    def _decide(
        self, possible: Sequence[frozenset[int]], *, complete: bool
    ) -> tuple[frozenset[int], bool]:
        """Choose the one set that is unique, or that the drawing singles out."""
        elsewhere = set(range(len(self.line.used))) - set(self.places)
        asked = {
            s: t
            for s in possible[:MOST_COMPARED]
            if (t := drawn_test(self.line, elsewhere | {self.places[k] for k in s})) is not None
        }
        # a value that closes every sum by chance is not the one that is drawn
        fitting = [
            s for s, t in asked.items() if t.fits and all(self._closes_as_drawn(k, s) for k in s)
        ]
        if len(fitting) == 1 and len(asked) == len(possible):
            return fitting[0], True
        if len(possible) == 1 and complete and not asked:
            return possible[0], False
        if fitting:
            return frozenset(), False
        return self._doubted_by_drawing() if asked or len(possible) > MOST_COMPARED else _NOBODY

    def _doubted_by_drawing(self) -> tuple[frozenset[int], bool]:
        """Take the sizes the drawing speaks against, when without them everything closes."""
        mine = {place: k for k, place in enumerate(self.places)}
        doubted = [mine[place] for place in doubt_legs(self.line) if place in mine]
        needed = frozenset(doubted)
        if not needed or self.network.find_open_loop(needed) is not None:
            return _NOBODY
        for k in doubted:
            if self.network.find_open_loop(needed - {k}) is None:
                needed -= {k}
        # fewer would close the chain, but not at what is drawn: then all of them are wrong
        if all(self._closes_as_drawn(k, needed) for k in needed):
            return needed, True
        return frozenset(doubted), True

    def _closes_as_drawn(self, k: int, wrong: frozenset[int]) -> bool:
        """Whether the value that closes the chain is the one that is drawn."""
        leg = self.legs[k]
        span = self.network.span(leg.a, leg.b, without=wrong)
        drawn = self.line.drawn_between(leg.a, leg.b)
        if span is None or drawn is None:
            return True
        near = CLOSE_AT_MM / _MM[self.line.unit] + float(leg.half)
        return abs(float(span) - drawn[0]) <= drawn[1] + near

    def _is_possible(self, k: int, wrong: frozenset[int]) -> bool:
        """Whether what would close the chain is a size at all."""
        leg = self.legs[k]
        span = self.network.span(leg.a, leg.b, without=wrong)
        return span is None or span > 0

    def _lines_explain(self, loop: Loop) -> bool:
        """Whether lines taken as one stand apart by about the gap."""
        apart, doubtful = 0.0, False
        steps = list(loop.legs)
        for (k, sign), (j, other) in zip(steps, [*steps[1:], steps[0]], strict=True):
            leg, following = self.legs[k], self.legs[j]
            station = leg.b if sign > 0 else leg.a
            there = leg.gaps[1 if sign > 0 else 0]
            here = following.gaps[0 if other > 0 else 1]
            if self.line.stations[station].doubtful:
                doubtful = True
                apart += here - there
        gap = float(loop.gap) * _MM[self.line.unit]
        return doubtful and abs(gap + apart) <= PAPER_NOISE * abs(gap)

    def _doubt_stations(self, loop: Loop) -> Finding:
        legs = [self.legs[k].dimension for k, _ in loop.legs]
        text = (
            f"{self.words.say_sum(loop)}, but two of the extension lines taken as one stand apart "
            "by about as much: they may be two features. Look whether they are."
        )
        return say("C105", text, places=self.words.places_of(legs), dimensions=legs)

    def _name(self, k: int, wrong: frozenset[int], *, drawn: bool) -> Finding:
        """Tell of a number that is wrong, with what closes the chain."""
        leg = self.legs[k]
        dimension = self.by_id[leg.dimension]
        alike = self.network.alike[k]
        way = self.network.way(leg.a, leg.b, without=wrong) or self.network.way(
            leg.a, leg.b, without={k}
        )
        loop = self._loop_of(k, way)
        if len(alike) > 1:
            loop = self.network.find_open_loop(wrong - alike) or loop
        value = self._closing_value(k, wrong)
        measured = self._say_drawn(dimension) if drawn else ""
        printed = self.words.as_printed(leg)
        text = f"{printed} does not close its chain: {self.words.say_sum(loop)}."
        if value is not None:
            text += f" {self.words.spell(value)} closes {self._say_closed(k, wrong)}"
            text += f", and it is drawn as {measured}." if measured else "."
        elif measured:
            text += f" It is drawn as {measured}."
        if len(alike) > 1:
            text += f" It is typical and holds in {len(alike)} places here: change it once."
        others = {self.legs[j].dimension: j for j in sorted(wrong - alike, reverse=True)}
        if others:
            names = join_words([self.words.name(self.legs[j]) for j in sorted(others.values())])
            text += f" {names} is wrong too." if len(others) == 1 else f" So are {names}."
        text += self._slip(dimension, value)
        if not drawn:
            text += " No other single number explains it."
        witnesses = [
            Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"{printed} is printed"),
            *([_drawn_witness(measured)] if measured else []),
            self.chain_witness(self.words.say_sum(loop)),
        ]
        finding = say(
            "C101",
            text,
            places=self.words.places_of([leg.dimension]),
            dimensions=[leg.dimension],
            witnesses=witnesses,
            rests_on=self.words.rests_on(loop.legs, drawn=drawn),
        )
        return replace(finding, suggestion=None if value is None else self.words.suggest(value))

    def _closing_value(self, k: int, wrong: frozenset[int]) -> Fraction | None:
        leg = self.legs[k]
        alike = self.network.alike[k]
        span = self.network.span(leg.a, leg.b, without=wrong)
        if span is not None and len(alike) == 1:
            return span / leg.times
        if len(alike) > 1:
            return self._common_value(k, wrong - alike)
        return self._drawn_value(leg)

    def _drawn_value(self, leg: Leg) -> Fraction | None:
        """Find the one shop value that the drawing gives a leg."""
        drawn = self.line.drawn_between(leg.a, leg.b)
        if drawn is None:
            return None
        low, high = max(drawn[0] - drawn[1], 0.0), drawn[0] + drawn[1]
        shop = shop_values(low, high, unit=self.line.unit, finest=FINEST[self.line.unit])
        if len(shop.candidates) != 1:
            return None
        size = parse_length(shop.candidates[0], unit=self.line.unit)
        return size.value / leg.times if size is not None else None

    def _common_value(self, k: int, wrong: frozenset[int]) -> Fraction | None:
        """Find the value that closes a loop in every place that one size governs."""
        loop = self.network.find_open_loop(wrong)
        if loop is None:
            return None
        passes = sum(sign for j, sign in loop.legs if j in self.network.alike[k])
        return None if passes == 0 else self.legs[k].value - loop.gap / passes

    def _say_closed(self, k: int, wrong: frozenset[int]) -> str:
        """Say how many sums without a common size the value closes."""
        leg, passed, sums = self.legs[k], set(wrong), 0
        while way := self.network.way(leg.a, leg.b, without=passed):
            passed |= {j for j, _ in way}
            sums += 1
        return "it" if sums < 2 else f"{sums} sums that share no other size"

    def _say_drawn(self, dimension: Dimension) -> str:
        scaled = dimension.scaled
        if scaled is None:
            return ""
        return say_measured(scaled.value, scaled.expanded, unit=scaled.unit)

    def _slip(self, dimension: Dimension, value: Fraction | None) -> str:
        callout = dimension.reading.callout if dimension.reading is not None else None
        if callout is None or callout.size is None or value is None:
            return ""
        meant = float(Length(value, self.line.unit).to(callout.size.unit))
        slip = name_slip(callout, meant, allowed=1e-9)
        return f" A slip is likely: {slip}." if slip else ""

    def _suspect(self, suspects: Sequence[int], loop: Loop) -> Finding:
        """Tell of a chain whose wrong number cannot be singled out."""
        legs = [self.legs[k].dimension for k in suspects]
        names = join_words([self.words.name(self.legs[k]) for k in suspects[:LONGEST_TOLD]])
        if len(suspects) > LONGEST_TOLD:
            names = f"{len(suspects)} printed sizes"
        settle = (
            "Measure one of them on the drawing or the part"
            if self.line.u_scale is not None
            else "Give this view a known size, or measure one of them on the part"
        )
        explains = "can hardly" if abs(loop.gap) <= loop.worst else "cannot"
        text = (
            f"{self.words.say_sum(loop)}, and rounding {explains} explain it. Any one of {names} "
            f"may be wrong. {settle}, to better than {self.words.say(abs(loop.gap) / 2)}: that "
            "tells which."
        )
        if loop.worst:
            likely = f", {loop.likely:.3g}{MARK[self.line.unit]} as a rule"
            usual = likely if loop.explained < loop.worst else ""
            text += f" Rounding explains {self.words.say(loop.worst)} at most{usual}."
        return say(
            "C102",
            text,
            places=self.words.places_of(legs),
            dimensions=legs,
            witnesses=[self.chain_witness(self.words.say_sum(loop))],
            rests_on=self.words.rests_on(loop.legs),
        )

    def is_of_another_line(self, finding: Finding) -> bool:
        """Whether what is named is asked about already: a number that is likelier another line's.

        Then no more is known than that its line is measured and its number is not of it.
        """
        named = finding.dimensions if finding.code == "C101" else ()
        return any(self.by_id[n].why in ASKED_LINES for n in named)

    def is_set_aside(self, finding: Finding) -> bool:
        """Whether all that a finding names was set aside as not critical."""
        return all(self.by_id[n].verdict is Verdict.NOT_CRITICAL for n in finding.dimensions)

    def _loop_of(self, k: int, way: Iterable[tuple[int, int]]) -> Loop:
        return make_loop(self.legs, [*way, (k, -1)])

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of this chain, as the network counts them."""
        return self.network.legs

    def chain_witness(self, says: str) -> Witness:
        """Make the chain a witness against."""
        return Witness(kind=WitnessKind.CHAIN, side=Side.AGAINST, says=says)


_NOBODY: tuple[frozenset[int], bool] = (frozenset(), False)
_MM = {Unit.IN: 25.4, Unit.MM: 1.0, Unit.DEG: 1.0}


def _drawn_witness(says: str) -> Witness:
    return Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"drawn as {says}")


def _components(line: StationLine, by_id: Mapping[int, Dimension], view: View) -> list[_Chain]:
    """Part a line into what hangs together by printed sizes."""
    label = list(range(len(line.stations)))

    def root(k: int) -> int:
        while label[k] != k:
            label[k] = label[label[k]]
            k = label[k]
        return k

    used = line.used
    for leg in used:
        label[root(leg.a)] = root(leg.b)
    groups: dict[int, list[int]] = {}
    for place, leg in enumerate(used):
        groups.setdefault(root(leg.a), []).append(place)
    chains = []
    for top, places in sorted(groups.items()):
        network = LegNetwork([used[p] for p in places], len(line.stations))
        references = tuple(
            leg for leg in line.legs if leg.reference and root(leg.a) == top == root(leg.b)
        )
        loops = network.find_loops()
        if loops or references:
            words = ChainWords(line, view, by_id, network.legs)
            chains.append(_Chain(line, by_id, tuple(places), references, network, loops, words))
    return chains
