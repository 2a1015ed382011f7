"""Which word belongs to which size: pieces of a callout to a draft."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from audit.lengths.amounts import Amount, Form
from audit.lengths.callout import CalloutKind, CountForm, Mark
from audit.lengths.draft import NAMES, SIZES, Draft, Term
from audit.lengths.pieces import Piece
from audit.lengths.vocabulary import (
    COUNT_FORMS,
    FEATURES,
    MARKS,
    OPERATIONS,
    ROLE_KINDS,
    ROLE_MARKS,
    SIGN_KINDS,
    SPANS,
    SPHERICAL,
)


def draw_up(pieces: Sequence[Piece], *, lone: str = "count") -> Draft:
    """Put pieces together in printed order.

    Parameters
    ----------
    pieces : sequence of Piece
    lone : str
        What a lone whole number in parentheses is: ``count``, ``reference`` or ``second``.

    Returns
    -------
    Draft
    """
    draft = Draft()
    _add_all(draft, pieces, lone)
    if draft.pending or draft.pending_by or (draft.pending_feature and not draft.terms):
        _settle_pending(draft)
    return draft


def is_lone_integer(piece: Piece) -> bool:
    """Whether parentheses hold nothing but a whole number: count, reference or second unit."""
    if piece.form != "group" or len(piece.inner) != 1 or piece.inner[0].form != "amount":
        return False
    amount = piece.inner[0].amounts[0]
    return amount.form is Form.INTEGER and amount.unit is None


def _add_all(draft: Draft, pieces: Sequence[Piece], lone: str) -> None:
    for index, piece in enumerate(pieces):
        after = pieces[index + 1 :]
        if piece.form in ("group", "bracket"):
            _add_enclosed(draft, piece, after, lone)
        elif piece.form in _LOOKING_AHEAD:
            _LOOKING_AHEAD[piece.form](draft, piece, after)
        else:
            _ADDERS[piece.form](draft, piece)


def _add_size(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    if piece.form == "amount" and _is_count_for_plural(draft, piece, after):
        return
    term = Term(form=piece.form, amounts=piece.amounts, text=piece.text)
    for name in draft.pending:
        _claim(draft, term, name)
    if draft.pending_by and not term.role:
        term.role = "by"
    term.feature = draft.pending_feature
    if term.feature is not None and not term.is_angle:
        term.kind = term.kind or CalloutKind.DIAMETER
    draft.pending, draft.pending_by, draft.pending_feature = [], False, None
    draft.terms.append(term)


def _is_count_for_plural(draft: Draft, piece: Piece, after: Sequence[Piece]) -> bool:
    """``HOLES`` right behind a whole number that nothing claims: how many, not how large."""
    amount = piece.amounts[0]
    bare = amount.form is Form.INTEGER and amount.unit is None and not draft.pending
    if not (bare and draft.count is None and after and after[0].form == "noun"):
        return False
    if not _is_plural(after[0].text) or draft.pending_by:
        return False
    draft.count, draft.count_form = int(amount.value), CountForm.PLACES
    return True


def _is_plural(noun: str) -> bool:
    word = noun.upper().rstrip(".")
    return word.endswith("S") and word not in ("BRASS", "PRESS", "CROSS", "RADIUS", "ACROSS")


def _add_count(draft: Draft, piece: Piece) -> None:
    if draft.count is None:
        draft.count = int("".join(c for c in piece.text if c.isdigit()))
        draft.count_form = COUNT_FORMS.get(piece.name, CountForm.PLACES)
    if piece.name == "EQUAL_SPACES":
        draft.marks.add(Mark.EQUALLY_SPACED)


def _add_plural(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    """``4 HOLES``; but in ``Ø 6 HOLES`` the sign claims the number."""
    number, _, noun = piece.text.partition(" ")
    draft.nouns.append(noun.upper())
    if "EQ" in noun.upper().split()[0][:2]:
        draft.marks.add(Mark.EQUALLY_SPACED)
    if draft.pending and not draft.terms:
        amount = Amount(value=_whole(number), step=_whole("0"), unit=None, form=Form.INTEGER)
        _add_size(draft, Piece(form="amount", amounts=(amount,)), after)
    elif draft.count is None:
        draft.count, draft.count_form = int(number), CountForm.PLACES


def _whole(text: str) -> Fraction:
    return Fraction(int(text))


def _add_sign(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    """Give a sign to the size behind it, or to the one before it when none follows."""
    if piece.name in FEATURES:
        _add_feature(draft, piece, after)
        return
    last = draft.last
    follows = bool(after) and after[0].form in (*SIZES, "sign", "plural")
    behind = last is not None and last.kind is None and not draft.pending_by
    if piece.name == "DIAMETER_SIGN" and behind and follows and _is_deep(after[1:]):
        follows = False  # 3/8 Ø 1/2 DEEP
    if follows or last is None:
        draft.pending.append(piece.name)
    elif behind:
        _claim(draft, last, piece.name)


def _is_deep(pieces: Sequence[Piece]) -> bool:
    return bool(pieces) and pieces[0].name in ("DEEP", "DEPTH")


def _add_role(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    """Give a word to the size before it when that lacks one, else to the size behind it."""
    if piece.name in ("CHAMFER", "TAPER"):
        draft.whole_kind = CalloutKind(piece.name.lower())
        return
    last = draft.last
    follows = bool(after) and after[0].form in (*SIZES, "sign")
    wants = last is not None and not draft.pending_by and _lacks(last, piece.name)
    if piece.name == "DEPTH" and follows:
        wants = False
    if wants and last is not None:
        _claim(draft, last, piece.name)
    elif follows or last is None:
        draft.pending.append(piece.name)


def _lacks(term: Term, name: str) -> bool:
    """Whether a size has room for this word: its kind is open, or it is not placed yet."""
    if name in ("DEEP", "DEPTH", *SPANS):
        return term.role in ("", "by") and term.kind is not CalloutKind.DEPTH
    if name == "THICK":
        return term.role in ("", "by")
    if name == "SPHERE" or (
        name == "RADIUS" and term.kind is CalloutKind.SPHERICAL_DIAMETER  # SPHERICAL R
    ):
        return True
    return term.kind is None and not term.is_angle


def _claim(draft: Draft, term: Term, name: str) -> None:
    """Let one sign or word say what a size is."""
    if name in SPANS:
        term.role = name.lower()
        draft.nouns.append(name)
    elif name in ("DEEP", "DEPTH", "DEPTH_SIGN"):
        _claim_depth(draft, term)
    elif name == "SPHERE":
        term.kind = SPHERICAL.get(term.kind, CalloutKind.SPHERICAL_DIAMETER)
    elif name == "CONTROLLED_RADIUS":
        draft.marks.add(Mark.CONTROLLED)
        term.kind = CalloutKind.RADIUS
    else:
        spherical = term.kind is CalloutKind.SPHERICAL_DIAMETER and name == "RADIUS"
        kind = SIGN_KINDS.get(name) or ROLE_KINDS[name]
        term.kind = CalloutKind.SPHERICAL_RADIUS if spherical else term.kind or kind
        if name == "THICK" and draft.terms and draft.terms[0] is not term:
            term.role = "thick"
    if name in ROLE_MARKS:
        draft.marks.add(ROLE_MARKS[name])


def _claim_depth(draft: Draft, term: Term) -> None:
    draft.marks.add(Mark.DEEP)
    if draft.terms and draft.terms[0] is not term:
        term.role = "deep"
    else:
        term.kind = term.kind or CalloutKind.DEPTH


def _add_operation(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    if piece.name in FEATURES:
        _add_feature(draft, piece, after)
        return
    draft.marks.add(OPERATIONS[piece.name])


def _add_feature(draft: Draft, piece: Piece, after: Sequence[Piece]) -> None:
    """Counterbore and its like: of the size behind, or of the one before if that is free."""
    mark = FEATURES[piece.name]
    last = draft.last
    free = last is not None and last.feature is None and not last.role and not draft.pending_by
    follows = bool(after) and after[0].form in (*SIZES, "sign")
    second = len(draft.terms) > 1
    own = follows and _is_deep(after[1:]) and after[0].form in SIZES
    if last is not None and free and (second or not follows or own):
        last.feature = mark
        last.kind = last.kind or (None if last.is_angle else CalloutKind.DIAMETER)
    elif follows or (after and after[0].form == "by"):
        draft.pending_feature = mark
    else:
        draft.marks.add(mark)


def _add_tolerance(draft: Draft, piece: Piece) -> None:
    if draft.last is None:
        draft.unclear = True
    elif piece.amounts:
        draft.last.deviations = piece.amounts
    else:
        draft.marks.add(Mark.APPROXIMATE)


def _add_mark(draft: Draft, piece: Piece) -> None:
    if piece.name == "REFERENCE":
        draft.reference = True
        draft.marks.add(Mark.REFERENCE)
    elif piece.name == "BOLT_CIRCLE":
        _add_bolt_circle(draft)
    else:
        draft.marks.add(MARKS[piece.name])


def _add_bolt_circle(draft: Draft) -> None:
    last = draft.last
    if last is not None and len(draft.terms) > 1 and not last.role:
        last.role = "circle"
    else:
        draft.marks.add(Mark.BOLT_CIRCLE)
    if last is not None and last.kind is None:
        last.kind = CalloutKind.DIAMETER


def _add_by(draft: Draft, _piece: Piece) -> None:
    if draft.last is None:
        draft.unclear = True
    draft.pending_by = True


def _add_total(draft: Draft, piece: Piece) -> None:
    draft.total = piece.amounts[0]


def _add_fit(draft: Draft, piece: Piece) -> None:
    if draft.last is None:
        draft.unclear = True
    else:
        draft.last.fit = piece.text


def _add_ratio(draft: Draft, piece: Piece) -> None:
    draft.ratio = piece.text


def _add_slope(draft: Draft, _piece: Piece) -> None:
    draft.slope = True


def _add_pipe(draft: Draft, piece: Piece) -> None:
    draft.pipe = True
    draft.grade = piece.text.upper()


_FILLERS = frozenset(("@", "&", "AT", "ON", "OF", "IN", "AND", "WITH", "W/", "FOR"))


def _add_noun(draft: Draft, piece: Piece) -> None:
    if piece.name == "METRIC_CLASS":
        draft.grade = piece.text.lstrip("- ")
    elif piece.name == "ROUND_OVER":
        draft.nouns.append("ROUNDOVER")
    elif piece.text.upper() not in _FILLERS:
        draft.nouns.append(piece.text.upper().rstrip("."))


def _add_word(draft: Draft, piece: Piece) -> None:
    draft.words.append(piece.text.upper())


def _add_gauge(draft: Draft, piece: Piece) -> None:
    draft.nouns.append(piece.text.upper())
    if "GA" in piece.text.upper():
        draft.whole_kind = draft.whole_kind or CalloutKind.THICKNESS


def _add_ditto(draft: Draft, _piece: Piece) -> None:
    draft.ditto = True


def _is_typical_count(piece: Piece) -> bool:
    """``(TYP 4)``: a mark and a whole number."""
    bare = Piece(form=piece.form, inner=tuple(p for p in piece.inner if p.form != "mark"))
    return is_lone_integer(bare) and any(p.name == "TYPICAL" for p in piece.inner)


def _add_enclosed(draft: Draft, piece: Piece, after: Sequence[Piece], lone: str) -> None:
    inner = piece.inner
    if _is_typical_count(piece) or (is_lone_integer(piece) and lone == "count"):
        if draft.count is None:
            draft.count = int(next(p for p in inner if p.amounts).amounts[0].value)
            draft.count_form = CountForm.PARENTHESES
        draft.marks |= {MARKS[p.name] for p in inner if p.form == "mark"}
        return
    sized = any(p.form in SIZES for p in inner)
    named = [p.text.upper() for p in inner if p.form in NAMES]
    if named and draft.terms and not sized:  # 13/64 DRILL (#7)
        draft.nouns.extend(named)
        return
    sized = sized or bool(named)
    alone = lone == "second" and not any(p.form in SIZES for p in after)
    if sized and (draft.terms or alone):
        draft.beside.append(piece)
    else:
        if sized and piece.form == "group":
            draft.reference = True
        draft.bracketed = draft.bracketed or (sized and piece.form == "bracket")
        words = [p.text.upper() for p in inner if p.form in ("word", "purpose")]
        draft.nouns.extend(words)
        _add_all(draft, [p for p in inner if p.form not in ("word", "purpose")], lone)


def _settle_pending(draft: Draft) -> None:
    """Nothing came behind the last sign: only FULL R and the like may stand without a size."""
    kinds = {ROLE_KINDS.get(name) for name in draft.pending}
    if draft.terms or draft.pending_by:
        draft.unclear = True
    elif Mark.FULL in draft.marks and CalloutKind.RADIUS in kinds:
        draft.whole_kind = CalloutKind.RADIUS
    elif not draft.ratio:
        draft.unclear = True


_LOOKING_AHEAD: dict[str, Callable[[Draft, Piece, Sequence[Piece]], None]] = {
    "amount": _add_size,
    "limits": _add_size,
    "thread": _add_size,
    "screw_name": _add_size,
    "drill_letter": _add_size,
    "plural": _add_plural,
    "sign": _add_sign,
    "role": _add_role,
    "operation": _add_operation,
}
_ADDERS: dict[str, Callable[[Draft, Piece], None]] = {
    "count": _add_count,
    "tolerance": _add_tolerance,
    "mark": _add_mark,
    "by": _add_by,
    "total": _add_total,
    "fit": _add_fit,
    "ratio": _add_ratio,
    "slope": _add_slope,
    "pipe": _add_pipe,
    "noun": _add_noun,
    "purpose": _add_noun,
    "word": _add_word,
    "gauge": _add_gauge,
    "ditto": _add_ditto,
}
