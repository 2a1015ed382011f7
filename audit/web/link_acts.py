"""Calls on what a person links: two dimensions that are one feature, parts and their views."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from fastapi import APIRouter

from audit.checks.parts import PlanPart, find_parts
from audit.checks.same_as import check_links, propose_links
from audit.errors import BadUsage
from audit.lengths import Length, Unit
from audit.pipeline.acting import type_length
from audit.pipeline.lookup import find_dimension, unit_of
from audit.records import Audit, Dimension, Link, Part
from audit.report.naming import name_features, name_views
from audit.report.phrases import spell_length
from audit.store import LinkSame, RemovePart, SetPart, Unlink
from audit.web import models as m
from audit.web import sum_models as s
from audit.web.looks import At, SeenRevision
from audit.web.wording import say_typed

router = APIRouter()
SAME, DIFFERENT, PROPOSED = "same", "different", "proposed"


@router.get("/api/links")
def get_links(desk: At) -> s.ListedLinks:
    """List the links between dimensions, and those that may be meant."""
    return s.ListedLinks(links=list_links(desk.file.load()))


@router.put("/api/links")
def set_link(desk: At, wanted: s.SetLink) -> m.DoneJson:
    """Say that two dimensions are one feature, or that they are not."""
    audit = desk.at(wanted.revision)
    first, second = find_dimension(audit, wanted.first), find_dimension(audit, wanted.second)
    if wanted.same and first.kind is not second.kind:
        problem = f"a {first.kind.value} and a {second.kind.value} are never one feature"
        raise BadUsage(problem, advice="pick two dimensions of one kind")
    link = Link(
        first=first.id,
        second=second.id,
        reason=" ".join(wanted.reason.split()),
        same=wanted.same,
    )
    revision = desk.record(LinkSame(link=link), revision=wanted.revision)
    said = _compare(link, desk.file.load())[0] if link.same else "they are kept apart"
    return m.DoneJson(revision=revision, key=f"d{second.id}", says=said)


@router.delete("/api/links")
def drop_link(desk: At, first: int, second: int, revision: SeenRevision) -> m.DoneJson:
    """Take the word on two dimensions back."""
    entry = Unlink(first=first, second=second)
    return m.DoneJson(revision=desk.record(entry, revision=revision))


def list_links(audit: Audit) -> tuple[s.LinkJson, ...]:
    """List what a person said of pairs of dimensions, then what may be one feature."""
    by_id = {d.id: d for d in audit.dimensions}
    views, features = name_views(audit), name_features(audit)

    def show(link: Link, state: str) -> s.LinkJson:
        says, agrees = _compare(link, audit)
        first, second = (
            s.LinkedJson(
                dimension=d.id,
                sheet=d.sheet,
                name=", ".join(filter(None, (views.get(d.view, ""), features[d.id]))),
                printed=d.reading.text if d.reading else "",
            )
            for d in (by_id[link.first], by_id[link.second])
        )
        return s.LinkJson(
            first=first, second=second, state=state, reason=link.reason, says=says, agrees=agrees
        )

    given = [x for x in audit.links if x.first in by_id and x.second in by_id]
    said = [show(x, SAME if x.same else DIFFERENT) for x in given]
    proposed = propose_links(find_parts(audit), audit)
    return (*said, *(show(x, PROPOSED) for x in proposed))


def _compare(link: Link, audit: Audit) -> tuple[str, bool | None]:
    """Say what comparing two linked dimensions comes to."""
    by_id = {d.id: d for d in audit.dimensions}
    first, second = by_id.get(link.first), by_id.get(link.second)
    if first is None or second is None or not link.same:
        return "", None
    if first.printed is None or second.printed is None:
        return "one of the two has no sure printed size", None
    told = check_links(
        Audit(name="", dimensions=(first, second), links=(link,), settings=audit.settings)
    )
    if told:
        return told[0].text, False
    return f"both print {spell_length(first.printed)}", True


@router.get("/api/parts")
def get_parts(desk: At) -> s.ListedParts:
    """List the parts a person set, then those the plan names."""
    return s.ListedParts(parts=list_parts(desk.file.load()))


@router.put("/api/parts")
def set_part(desk: At, wanted: s.SetPartBody) -> m.DoneJson:
    """Set a part: its name, what it is made of, which views show it, which dimensions are its."""
    audit = desk.at(wanted.revision)
    known = {v.id for v in audit.views}
    for view in wanted.views:
        if view not in known:
            raise BadUsage(f"there is no view {view}", advice="look at the list of views")
    part = Part(
        name=" ".join(wanted.name.split()),
        count=wanted.count,
        material=" ".join(wanted.material.split()),
        nominal_thickness=_thickness(audit, wanted.nominal),
        measured_thickness=_thickness(audit, wanted.measured),
        hand=" ".join(wanted.hand.split()),
        views=tuple(dict.fromkeys(wanted.views)),
        dimensions=tuple(dict.fromkeys(wanted.dimensions)),
    )
    replaces = wanted.replaces.strip() or None
    if replaces is not None and all(p.name != replaces for p in audit.parts):
        replaces = None  # a proposal of the plan: it becomes a part by being set
    revision = desk.record(SetPart(part=part, replaces=replaces), revision=wanted.revision)
    return m.DoneJson(revision=revision, says=f"{part.name} is kept")


@router.delete("/api/parts")
def drop_part(desk: At, name: s.Name, revision: SeenRevision) -> m.DoneJson:
    """Take a part away."""
    return m.DoneJson(revision=desk.record(RemovePart(name=name), revision=revision))


def _thickness(audit: Audit, text: str) -> Length | None:
    if not text.strip():
        return None
    unit = audit.settings.length_unit
    for sheet in audit.sheets:
        unit = unit or unit_of(audit, sheet.id)
    length = type_length(text.strip(), unit=unit)
    if length.unit is Unit.DEG:
        raise BadUsage(f"'{text}' is an angle", advice="write 3/4 in or 18 mm")
    return length


def list_parts(audit: Audit) -> tuple[s.PartJson, ...]:
    """List parts: those of the audit, then those that only the plan names."""
    found = {part.name: part for part in find_parts(audit)}
    given = [_given(part, found.pop(part.name, None), audit) for part in audit.parts]
    return (*given, *(_proposed(part) for part in found.values()))


def _given(part: Part, plan: PlanPart | None, audit: Audit) -> s.PartJson:
    boxes = [(v.sheet, v.box) for v in audit.views if v.id in part.views]
    return s.PartJson(
        name=part.name,
        count=part.count,
        material=part.material,
        nominal=say_typed(part.nominal_thickness),
        measured=say_typed(part.measured_thickness),
        hand=part.hand,
        views=part.views,
        dimensions=part.dimensions,
        places=tuple((n, (b.x0, b.y0, b.x1, b.y1)) for n, b in boxes),
        proposed=False,
        says=_say_plan(plan) if plan else "",
    )


def _proposed(part: PlanPart) -> s.PartJson:
    views = [d.view for d in part.drawings if d.view is not None]
    counts = {c.count for c in part.counts if c.count}
    loose: Sequence[Dimension] = list(
        chain.from_iterable(d.dimensions for d in part.drawings if d.view is None)
    )
    return s.PartJson(
        name=part.name,
        count=counts.pop() if len(counts) == 1 else None,
        material=next((r.form.material for r in part.rows if r.form and r.form.material), ""),
        nominal="",
        measured="",
        hand="",
        views=tuple(v.id for v in views),
        dimensions=tuple(d.id for d in loose),
        places=tuple((d.sheet, (d.box.x0, d.box.y0, d.box.x1, d.box.y1)) for d in part.drawings),
        proposed=True,
        says=_say_plan(part),
    )


def _say_plan(part: PlanPart) -> str:
    said = []
    if part.drawings:
        said.append(f"drawn in {len(part.drawings)} view{'s'[: len(part.drawings) > 1]}")
    if part.rows:
        said.append("in the parts list")
    said += [f"“{c.text}”" for c in part.counts[:2]]
    return ", ".join(said)
