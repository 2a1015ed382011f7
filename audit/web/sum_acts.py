"""Calls on sums made by hand: add up, keep, take away."""

from __future__ import annotations

from itertools import count

from fastapi import APIRouter

from audit.checks.sums import (
    Sum,
    Term,
    add_up,
    chain_members,
    decided_sizes,
    say_gap,
    say_rounding,
    say_sum,
    spell_sum,
)
from audit.errors import AuditError, BadUsage
from audit.pipeline import summing
from audit.pipeline.lookup import unit_of
from audit.records import Audit, ChainLeg, HandChain
from audit.store import RemoveChain, SetChain
from audit.web import models as m
from audit.web import sum_models as s
from audit.web.looks import At, SeenRevision

router = APIRouter()


@router.post("/api/sums")
def ask_sum(desk: At, wanted: s.AskSum) -> s.SumJson:
    """Add up a sum, exactly; nothing is kept. It needs no sheet."""
    audit = desk.file.load()
    return show_sum(make_chain(audit, wanted, name="sum"), audit)


@router.get("/api/chains")
def get_sums(desk: At) -> s.ListedSums:
    """List the sums that are kept."""
    audit = desk.file.load()
    return s.ListedSums(sums=tuple(_kept(chain, audit) for chain in audit.chains))


@router.put("/api/chains")
def keep_sum(desk: At, wanted: s.KeepSum) -> m.DoneJson:
    """Keep a sum, so that it stands in the ledger and in the reports."""
    audit = desk.at(wanted.revision)
    name = " ".join(wanted.name.split()) or _free_name(audit)
    chain = make_chain(audit, wanted, name=name, reason=" ".join(wanted.reason.split()))
    add_up(chain, audit)  # what cannot be added up is refused before it is written
    revision = desk.record(SetChain(chain=chain), revision=wanted.revision)
    return m.DoneJson(revision=revision, says=f"{name} is kept")


@router.delete("/api/chains")
def drop_sum(desk: At, name: s.Name, revision: SeenRevision) -> m.DoneJson:
    """Take a sum away that was kept."""
    return m.DoneJson(revision=desk.record(RemoveChain(name=name), revision=revision))


def _free_name(audit: Audit) -> str:
    taken = {chain.name for chain in audit.chains}
    return next(f"sum {n}" for n in count(1) if f"sum {n}" not in taken)


def make_chain(audit: Audit, wanted: s.AskSum, *, name: str, reason: str = "") -> HandChain:
    """Make a chain of what was picked or typed.

    Parameters
    ----------
    audit : Audit
    wanted : AskSum
    name : str
    reason : str

    Returns
    -------
    HandChain

    Raises
    ------
    BadUsage
        If there is no leg.
    """
    unit = audit.settings.length_unit
    for sheet in audit.sheets:
        unit = unit or unit_of(audit, sheet.id)
    if wanted.text.strip():
        return summing.parse_sum(wanted.text, name=name, unit=unit, reason=reason)
    if not wanted.legs:
        raise BadUsage("a sum needs a leg", advice="pick sizes, or type 3 1/2 + 2 1/4 = 5 3/4")

    def leg(pick: s.LegPick) -> ChainLeg:
        if pick.dimension is not None:
            return ChainLeg(dimension=pick.dimension, count=pick.count)
        made = summing.parse_leg(pick.text, unit=unit)
        return ChainLeg(length=made.length, count=made.count * pick.count, text=made.text)

    overall = leg(wanted.overall) if wanted.overall else None
    return HandChain(name=name, legs=tuple(map(leg, wanted.legs)), overall=overall, reason=reason)


def show_sum(chain: HandChain, audit: Audit) -> s.SumJson:
    """Show what a chain comes to, as printed and on what was decided."""
    added = add_up(chain, audit)
    decided, decided_closes = _on_decided(chain, audit)
    overall = chain.overall
    return s.SumJson(
        legs=tuple(_term(leg, term) for leg, term in zip(chain.legs, added.terms, strict=True)),
        overall=_term(overall, added.overall) if overall and added.overall else None,
        total=spell_sum(added.total, added),
        gap=say_gap(added),
        closes=added.closes,
        rounding=say_rounding(added),
        sentence=say_sum(added),
        decided=decided,
        decided_closes=decided_closes,
        typed=summing.spell_sum(chain),
    )


def _on_decided(chain: HandChain, audit: Audit) -> tuple[str, bool | None]:
    sizes = decided_sizes(audit)
    if not set(chain_members(chain)) & sizes.keys():
        return "", None
    added: Sum = add_up(chain, audit, decided=sizes)
    gap = say_gap(added)
    return f"{say_sum(added)}{f': {gap}' if gap else ''}", added.closes


def _term(leg: ChainLeg, term: Term) -> s.SumTermJson:
    return s.SumTermJson(dimension=leg.dimension, count=leg.count, says=term.says)


def _kept(chain: HandChain, audit: Audit) -> s.KeptSumJson:
    shown, problem = None, ""
    try:
        shown = show_sum(chain, audit)
    except AuditError as error:
        problem = error.problem
    return s.KeptSumJson(
        name=chain.name,
        typed=summing.spell_sum(chain),
        reason=chain.reason,
        sum=shown,
        problem=problem,
    )
