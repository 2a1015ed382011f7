"""Sums, links, parts over the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from audit.web.models import BoxJson, Model, Seen, Text

Long = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(max_length=80)]
Count = Annotated[int, Field(ge=1, le=1000)]


class LegPick(Model):
    """One leg: a dimension of the audit, or a typed length; `count` equal ones in a row."""

    dimension: int | None = None
    text: Text = ""
    count: Count = 1


class AskSum(Model):
    """A sum, typed as `text` (`3 1/2 + 4X 1 1/8 = 8`) or picked as `legs`."""

    text: Long = ""
    legs: Annotated[tuple[LegPick, ...], Field(max_length=200)] = ()
    overall: LegPick | None = None


class KeepSum(Seen, AskSum):
    """Keep a sum under a name; one of that name is replaced."""

    name: Name = ""
    reason: Text = ""


class SumTermJson(Model):
    """One leg as it enters the sum; `value` is the printed size of one of the equal legs."""

    dimension: int | None
    count: int
    says: str


class SumJson(Model):
    """What a sum comes to; `closes` null: there is nothing to come to."""

    legs: tuple[SumTermJson, ...]
    overall: SumTermJson | None
    total: str
    gap: str
    closes: bool | None
    rounding: str
    sentence: str
    decided: str = Field(description="the same sum on what was decided, where that differs")
    decided_closes: bool | None
    typed: str = Field(description="the sum as it could be typed")


class KeptSumJson(Model):
    """A sum that is kept; `sum` null: it cannot be added up, `problem` says why."""

    name: str
    typed: str
    reason: str
    sum: SumJson | None
    problem: str


class ListedSums(Model):
    """All sums that are kept."""

    sums: tuple[KeptSumJson, ...]


class LinkedJson(Model):
    """One of two linked dimensions."""

    dimension: int
    sheet: int
    name: str
    printed: str


class LinkJson(Model):
    """Two dimensions that are one feature, or may be: `state` is same, different or proposed."""

    first: LinkedJson
    second: LinkedJson
    state: str
    reason: str
    says: str = Field(description="what comparing the two came to")
    agrees: bool | None


class SetLink(Seen):
    """Say that two dimensions are one feature, or (`same` false) that they are not."""

    first: int
    second: int
    same: bool = True
    reason: Text = ""


class PartJson(Model):
    """A part: by hand, or as the plan names it (`proposed`)."""

    name: str
    count: int | None
    material: str
    nominal: str
    measured: str
    hand: str
    views: tuple[int, ...]
    dimensions: tuple[int, ...]
    places: tuple[tuple[int, BoxJson], ...] = Field(description="sheet, and box of each view")
    proposed: bool
    says: str


class ListedParts(Model):
    """All parts."""

    parts: tuple[PartJson, ...]


class ListedLinks(Model):
    """All links, proposals last."""

    links: tuple[LinkJson, ...]


class SetPartBody(Seen):
    """Set a part; `replaces` names the one it takes the place of."""

    name: Name
    replaces: Name = ""
    count: Annotated[int, Field(ge=1, le=100_000)] | None = None
    material: Text = ""
    nominal: Text = Field(default="", description="thickness as it is called")
    measured: Text = Field(default="", description="thickness as it measures")
    hand: Text = ""
    views: Annotated[tuple[int, ...], Field(max_length=500)] = ()
    dimensions: Annotated[tuple[int, ...], Field(max_length=5000)] = ()
