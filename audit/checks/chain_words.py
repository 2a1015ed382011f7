"""How a chain is said: its sizes, its sums, and what they rest on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.loops import Loop
from audit.checks.places import place_of
from audit.checks.stations import Leg, StationLine
from audit.checks.words import say_printed
from audit.lengths import Length, Style, Unit, spell, spell_decimal
from audit.records import Dimension, Place, View
from audit.scale.findings import join_words, name_view

LONGEST_TOLD = 7  # sizes written out in one sum; longer ones are only counted
MARK = {Unit.IN: " in", Unit.MM: " mm", Unit.DEG: "°"}


@dataclass(frozen=True, slots=True, eq=False)
class ChainWords:
    """Words for the legs of a line that hang together."""

    line: StationLine
    view: View
    by_id: Mapping[int, Dimension]
    legs: tuple[Leg, ...]

    def rests_on(self, way: Iterable[tuple[int, int]], *, drawn: bool = False) -> tuple[str, ...]:
        """List what a sum rests on: its sizes, the stations shared, the scale."""
        names = [self.name(self.legs[k]) for k, _ in way]
        told = [f"the sizes {join_words(names)}"] if len(names) <= LONGEST_TOLD else []
        governed = dict.fromkeys(self.name(self.legs[k]) for k, _ in way if self.legs[k].governed)
        if governed:
            told.append(f"the typical {join_words(list(governed))} being the same elsewhere")
        told.append(f"extension lines of {name_view(self.view)} that stand in one line are one")
        if drawn:
            told.append(f"the scale of {name_view(self.view)}")
        return tuple(told)

    def places_of(self, dimensions: Iterable[int]) -> tuple[Place, ...]:
        """Return where dimensions are."""
        return tuple(place_of(self.by_id[n]) for n in dimensions)

    def name(self, leg: Leg) -> str:
        """Name a leg by what is printed."""
        size = self.say(leg.value / leg.times)
        return f"{leg.times} × {size}" if leg.times > 1 else size

    def as_printed(self, leg: Leg) -> str:
        """Name a leg as its own text is printed, where that gives one size."""
        dimension = self.by_id[leg.dimension]
        own = Length(leg.value, self.line.unit)
        return say_printed(dimension) if dimension.printed == own else self.name(leg)

    def spell(self, value: Fraction) -> str:
        """Spell a value of this line as the plan does, without unit mark."""
        if any(leg.half for leg in self.legs):
            return spell_decimal(value)
        return spell(Length(value, self.line.unit), style=Style.PLAIN)

    def suggest(self, value: Fraction) -> str:
        """Spell a value as suggestions are."""
        return spell(Length(value, self.line.unit), style=Style.PLAIN)

    def say(self, value: Fraction) -> str:
        """Say a value of this line."""
        return f"{self.spell(value)}{MARK[self.line.unit]}"

    def say_sum(self, loop: Loop) -> str:
        """Say a loop as a sum: the longest size is what the others should come to."""
        whole = max(loop.legs, key=lambda step: self.legs[step[0]].value)
        others = [s for s in loop.legs if s != whole]
        turn = -whole[1]
        total = sum((turn * sign * self.legs[k].value for k, sign in others), Fraction(0))
        should = self.legs[whole[0]].value
        verb = "add up to" if total != should else "close at"
        if len(others) > LONGEST_TOLD:
            said = f"{len(others)} sizes {verb} {self.spell(total)}"
        else:
            ordered = sorted(others, key=lambda s: (-turn * s[1], self.legs[s[0]].a))
            words = [self._say_term(k, turn * sign) for k, sign in ordered]
            said = f"{' '.join(words).removeprefix('+ ')} = {self.spell(total)}"
        return said if total == should else f"{said}, not {self.spell(should)}"

    def _say_term(self, k: int, sign: int) -> str:
        leg = self.legs[k]
        size = self.spell(leg.value / leg.times)
        return f"{'+' if sign > 0 else '−'} {f'{leg.times} × {size}' if leg.times > 1 else size}"
