"""From a draft to callouts: units, kinds, further features."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from audit.lengths.amounts import Amount
from audit.lengths.callout import Callout, CalloutKind, Mark
from audit.lengths.draft import Draft, Term
from audit.lengths.length import Length, Unit
from audit.lengths.named import assemble_named, assemble_thread
from audit.lengths.pairs import other_unit, pair_units
from audit.lengths.pieces import Piece
from audit.lengths.settling import Context, settle, to_length

_FOOT = Length(Fraction(12), Unit.IN)
_HALF_RIGHT = Length(Fraction(45), Unit.DEG)
_ROUND = frozenset(
    [
        "HOLE",
        "HOLES",
        "DOWEL",
        "DOWELS",
        "ROD",
        "RODS",
        "PIN",
        "PINS",
        "PEG",
        "PEGS",
        "AXLE",
        "AXLES",
        "SHAFT",
        "BALL",
        "BALLS",
        "MARBLE",
        "MARBLES",
        "ROUND",
        "TUBE",
        "TUBING",
        "DISC",
        "DISK",
        "WHEEL",
        "WHEELS",
    ]
)
_ROUNDED = frozenset(["FILLET", "FILLETS", "ROUNDOVER", "ROUND-OVER"])  # named by their radius
_SHEET = frozenset(["PLY", "PLYWOOD", "MDF", "HARDBOARD", "BOARD", "SHEET", "ACRYLIC"])
# What may stand without any size: the size is the neighbour's, or to be found while building.
_SIZELESS = frozenset(
    (Mark.EQUALLY_SPACED, Mark.TO_FIT, Mark.TO_SUIT, Mark.TYPICAL, Mark.REFERENCE)
)


def assemble(draft: Draft, context: Context) -> Callout | None:
    """Settle what a draft says.

    Parameters
    ----------
    draft : Draft
    context : Context

    Returns
    -------
    Callout or None
        `None` when its pieces do not add up to a callout.
    """
    if draft.unclear or (draft.ditto and draft.terms):
        return None
    if not draft.terms:
        return _assemble_sizeless(draft, context)
    if context.unit is not Unit.DEG:  # there, primes are minutes and seconds
        context = replace(context, printed=_printed_unit(draft.terms))
    context, pair, beside = _settle_beside(draft, context)
    features = _split_features(draft.terms)
    main = _assemble_feature(features[0], draft, context)
    if main is None:
        return None
    further = [_assemble_extra(feature, draft, context) for feature in features[1:]]
    if None in further or None in beside:
        return None
    main = replace(main, further=(*main.further, *filter(None, further), *filter(None, beside)))
    if pair is not None:
        main = replace(main, alternate=pair)
    return _finish(main, draft, context)


def _printed_unit(terms: Sequence[Term]) -> Unit | None:
    """Find the length unit printed in the callout; `None` for none and for two."""
    units = {
        amount.named or amount.unit
        for term in terms
        for amount in (*term.amounts, *term.deviations)
        if amount.unit in (Unit.IN, Unit.MM)
    }
    return units.pop() if len(units) == 1 else None


# ---- sizes without a term ---------------------------------------------------------------------


def _assemble_sizeless(draft: Draft, context: Context) -> Callout | None:
    blank = Callout(
        text=context.text,
        size=None,
        kind=draft.whole_kind or CalloutKind.DISTANCE,
        count=draft.count,
        count_form=draft.count_form,
        marks=frozenset(draft.marks),
        noun=" ".join(draft.nouns),
        ditto=draft.ditto,
        reference=draft.reference,
    )
    if draft.words:
        return None
    if draft.beside:
        return _read_second_unit(blank, draft.beside[0], context)
    if draft.ratio:
        return _read_ratio(blank, draft)
    stands = draft.ditto or draft.count is not None or bool(draft.marks & _SIZELESS)
    gauged = draft.whole_kind is CalloutKind.THICKNESS
    full = Mark.FULL in draft.marks and draft.whole_kind is CalloutKind.RADIUS
    if not (stands or full or gauged) or (draft.nouns and not (draft.count or gauged)):
        return None
    if gauged:
        return replace(blank, remark="gauge: the text does not tell its size")
    only_marks = draft.count is None and not draft.ditto and not full
    return replace(blank, remark="no number of its own" if only_marks else "")


def _read_second_unit(blank: Callout, piece: Piece, context: Context) -> Callout | None:
    """Read a lone number in brackets or parentheses: the other unit of the size beside it."""
    amounts = [a for p in piece.inner if p.form == "amount" for a in p.amounts]
    if len(amounts) != 1 or context.unit is Unit.DEG:
        return None
    unit = amounts[0].unit or (other_unit(context.unit) if context.unit else None)
    if unit is None or unit is Unit.DEG:
        return None
    return replace(
        blank,
        alternate=Length(amounts[0].value, unit),
        reference=True,
        remark="second unit of the size beside it",
    )


def _read_ratio(blank: Callout, draft: Draft) -> Callout | None:
    """``1:12 TAPER``; a bare ratio is a scale, not a callout."""
    if draft.whole_kind is not CalloutKind.TAPER and "TAPER_SIGN" not in draft.pending:
        return None
    rise, run = (Fraction(part.strip()) for part in draft.ratio.split(":"))
    if run == 0:
        return None
    return replace(blank, kind=CalloutKind.TAPER, ratio=rise / run, remark="taper: ratio only")


# ---- numbers beside the size -------------------------------------------------------------------


def _settle_beside(
    draft: Draft, context: Context
) -> tuple[Context, Length | None, list[Callout | None]]:
    """Tell a second unit from a reference among the numbers in parentheses and brackets."""
    pair: Length | None = None
    references: list[Callout | None] = []
    first = draft.terms[0]
    for piece in draft.beside:
        amounts = [a for p in piece.inner if p.form == "amount" for a in p.amounts]
        plain = len(first.amounts) == 1 and len(amounts) == 1
        units = pair_units(first.amounts[0], amounts[0], unit=context.unit) if plain else None
        if units is not None and pair is None:
            context = replace(context, printed=units[0])
            pair = Length(amounts[0].value, units[1])
        elif piece.form == "bracket" and plain and context.unit not in (None, Unit.DEG):
            pair = Length(amounts[0].value, amounts[0].unit or other_unit(context.unit))
        else:
            references.append(_read_reference(amounts, context))
    return context, pair, references


def _read_reference(amounts: list[Amount], context: Context) -> Callout | None:
    if len(amounts) != 1 or context.lone == "second":
        return None
    length = amounts[0].to_length(context.printed or context.unit)
    return Callout(
        text=context.text,
        size=length,
        unit_printed=amounts[0].unit is not None,
        step=amounts[0].step_in(context.printed or context.unit),
        reference=True,
        remark="in parentheses beside the size",
    )


# ---- features ------------------------------------------------------------------------------------


def _split_features(terms: Sequence[Term]) -> list[list[Term]]:
    """Part the terms where a counterbore, a circle or a tap begins."""
    features: list[list[Term]] = []
    for term in terms:
        opens = term.feature is not None or term.role == "circle" or term.form == "thread"
        if not features or opens:
            features.append([term])
        else:
            features[-1].append(term)
    return features


def _assemble_extra(terms: Sequence[Term], draft: Draft, context: Context) -> Callout | None:
    first = terms[0]
    callout = _assemble_feature(terms, replace_draft(draft, first), context)
    if callout is None:
        return None
    marks = {first.feature} if first.feature else set()
    if first.role == "circle":
        marks = {Mark.BOLT_CIRCLE}
    if first.form == "thread":
        marks = {Mark.TAP} if Mark.TAP in draft.marks else set()
    if any(term.role == "deep" for term in terms):
        marks.add(Mark.DEEP)
    return replace(callout, marks=frozenset(marks))


def replace_draft(draft: Draft, first: Term) -> Draft:
    """Return what of the draft holds for a further feature: nothing but its terms and grade."""
    return Draft(terms=[first], grade=draft.grade)


def _assemble_feature(terms: Sequence[Term], draft: Draft, context: Context) -> Callout | None:
    first, rest = terms[0], list(terms[1:])
    if any(not term.role and term is not first for term in terms):
        return None  # two sizes side by side, and nothing says how they belong together
    if first.form == "thread":
        return assemble_thread(first, rest, draft, context)
    named = assemble_named(first, rest, draft, context)
    if named is not None or first.form in ("screw_name", "drill_letter"):
        return named
    if first.is_angle and rest and not rest[0].is_angle and rest[0].amounts:
        first, rest = rest[0], [first, *rest[1:]]
    return _assemble_sized(first, rest, draft, context)


def _assemble_sized(
    first: Term, rest: list[Term], draft: Draft, context: Context
) -> Callout | None:
    if first.form == "limits" and draft.whole_kind is CalloutKind.TAPER:
        return _assemble_taper(first, context)
    if context.unit is Unit.DEG and first.kind is not None:
        context = replace(context, unit=None)  # a radius is no angle, whatever the caller expects
    size = settle(first, context)
    if size is None:
        return None
    others = [settle(term, context) for term in rest]
    if any(o is None for o in others):
        return None
    lengths = [o.length for o in others if o is not None]
    kind = _tell_kind(first, rest, draft)
    if kind is CalloutKind.DISTANCE and size.length is not None and size.length.unit is Unit.DEG:
        kind = CalloutKind.ANGLE
    second = lengths[0] if lengths else None
    remark = size.remark
    if first.kind is CalloutKind.CHAMFER and second is None and size.length is not None:
        second, remark = _HALF_RIGHT, "; ".join(r for r in (remark, "C: at 45°") if r)
    further = tuple(Callout(text=context.text, size=length) for length in lengths[1:])
    return Callout(
        text=context.text,
        kind=kind,
        size=size.length,
        unit_printed=size.printed,
        step=size.step,
        tolerance=size.tolerance,
        fit=first.fit,
        second=second,
        further=further,
        remark=remark,
    )


def _tell_kind(first: Term, rest: Sequence[Term], draft: Draft) -> CalloutKind:
    """Tell what the first number is the size of: by its own sign, then by the words."""
    angled = any(term.is_angle for term in rest) and first.feature is not Mark.COUNTERSINK
    if draft.whole_kind is not None and first.kind not in _SIGNED:
        return draft.whole_kind
    if first.kind is not None:
        return first.kind
    if angled:
        return CalloutKind.CHAMFER
    if first.is_angle:
        return CalloutKind.ANGLE
    return _tell_kind_from_words(first, rest, draft)


# A sign of its own outweighs CHAMFER or TAPER somewhere in the text.
_SIGNED = (CalloutKind.CHAMFER, CalloutKind.RADIUS, CalloutKind.DIAMETER, CalloutKind.SQUARE)


def _tell_kind_from_words(first: Term, rest: Sequence[Term], draft: Draft) -> CalloutKind:
    nouns = {word for noun in draft.nouns for word in noun.split()}
    made_round = draft.marks & {Mark.DRILL, Mark.BORE, Mark.REAM} or first.fit
    spans = first.role in ("wide", "long", "high")
    side_by_side = any(term.role == "by" for term in rest)
    if spans or (side_by_side and not made_round):
        return CalloutKind.DISTANCE
    if (made_round and not first.fit) or nouns & _ROUND:
        return CalloutKind.DIAMETER
    if nouns & _ROUNDED:
        return CalloutKind.RADIUS
    if Mark.STOCK in draft.marks or nouns & _SHEET:
        return CalloutKind.THICKNESS
    return CalloutKind.DISTANCE


def _assemble_taper(first: Term, context: Context) -> Callout | None:
    """``TAPER 3/8 TO 1/4``: both ends of it."""
    start, end = (to_length(amount, context) for amount in first.amounts)
    if start is None or end is None:
        return None
    return Callout(
        text=context.text,
        kind=CalloutKind.TAPER,
        size=start,
        second=end,
        unit_printed=context.printed is not None,
        step=first.amounts[0].step_in(context.printed or context.unit),
    )


# ---- the whole -----------------------------------------------------------------------------------


def _finish(main: Callout, draft: Draft, context: Context) -> Callout | None:
    first = draft.terms[0]
    marks = set(main.marks) | draft.marks
    if not any(
        t.role == "deep" or t.kind is CalloutKind.DEPTH for t in _split_features(draft.terms)[0]
    ):
        marks.discard(Mark.DEEP)
    if first.feature is not None:
        marks.add(first.feature)
    ratio = None
    if draft.slope:
        if main.size is None or main.size.unit is Unit.DEG:
            return None
        main = replace(main, kind=CalloutKind.TAPER, second=_FOOT)
        ratio = main.size.to(Unit.IN).value / _FOOT.value if main.size else None
        marks.add(Mark.SLOPE)
    total = None if draft.total is None else to_length(draft.total, context)
    remarks = [main.remark]
    if draft.words:
        remarks.append(f"not understood: {' '.join(draft.words)}")
    if draft.bracketed and Mark.BASIC not in marks:
        remarks.append("brackets: a box or the second unit, the text does not tell")
    return replace(
        main,
        count=draft.count,
        count_form=draft.count_form,
        marks=frozenset(marks),
        reference=draft.reference,
        ratio=ratio,
        total=total,
        noun=" ".join(draft.nouns),
        remark="; ".join(r for r in remarks if r),
    )
