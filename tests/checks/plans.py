"""Small plans as records: parts with views, rows, counts and notes."""

from __future__ import annotations

from fractions import Fraction

from audit.checks import check_plan
from audit.geometry import Box, Point
from audit.lengths import (
    CalloutKind,
    FormKind,
    Length,
    StatementForm,
    Unit,
    parse_callouts,
    parse_statements,
)
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    PageKind,
    ReadBy,
    Reading,
    Scale,
    ScaleFrom,
    Statement,
    StatementKind,
    Verdict,
    View,
    ViewKind,
)
from tests.checks.simulated import make_sheet

PT = 72.0
EXACT = ((1e-10, 0.0, 0.0), (0.0, 1e-10, 0.0), (0.0, 0.0, 1e-12))
FULL = Scale(x=1.0, y=1.0, covariance=EXACT, source=ScaleFrom.KNOWN)


def inches(text) -> Length:
    return Length(Fraction(text), Unit.IN)


class PlanBuilder:
    """Collects what stands on one vector sheet; views side by side, 400 pt apart."""

    def __init__(self):
        self.sheet = make_sheet(PageKind.VECTOR, width=4000.0, height=1000.0)
        self.views, self.dimensions, self.statements = [], [], []

    def view(self, title, *, kind=ViewKind.TRUE, count=None):
        number = len(self.views) + 1
        x = 400.0 * (number - 1)
        box = Box(x, 100.0, x + 380.0, 500.0)
        self.views.append(View(id=number, sheet=1, kind=kind, box=box, title=title, scale=FULL))
        if count is not None:
            self.say(f"MAKE {count}", box=Box(x + 100, 520, x + 160, 530))
        return number

    def size(self, view, text, start, end, *, y=0.0, down=False, verdict=Verdict.AGREES):
        """A distance from start to end, in inches of the view."""
        x, top = 400.0 * (view - 1) + 20, 120.0 + y
        points = [(x + PT * s, top) for s in (start, end)]
        if down:
            points = [(x + y, 120.0 + PT * s) for s in (start, end)]
        return self._add(view, text, points, DimensionKind.DISTANCE, verdict)

    def hole(self, view, text, x, y, diameter, *, kind=DimensionKind.DIAMETER, sweep=360.0):
        left, top = 400.0 * (view - 1) + 20 + PT * x, 120.0 + PT * y
        half = PT * diameter / 2
        first = (left - half, top) if kind is DimensionKind.DIAMETER else (left, top)
        points = [first, (left + half, top)]
        return self._add(view, text, points, kind, Verdict.AGREES, sweep=sweep)

    def _add(self, view, text, points, kind, verdict, **more):
        box = Box.around(points).grown(2.0)
        reading = Reading(
            text=text,
            callout=parse_callouts(text, unit=Unit.IN)[0],
            confidence=1.0,
            by=ReadBy.PDF,
            box=box,
        )
        number = len(self.dimensions) + 1
        ends = tuple(End(point=Point(*p), kind=EndKind.EXACT, sigma=0.01) for p in points)
        self.dimensions.append(
            Dimension(
                id=number,
                sheet=1,
                view=view,
                kind=kind,
                ends=ends,
                reading=reading,
                verdict=verdict,
                **more,
            )
        )
        return number

    def say(self, text, *, box=None):
        """A note, a count, a stock note: what the grammar makes of it, else a plain note."""
        box = box or Box(
            3000, 600 + 20 * len(self.statements), 3200, 610 + 20 * len(self.statements)
        )
        forms = parse_statements(text, unit=Unit.IN)
        form = forms[0] if forms else None
        kind = StatementKind(form.kind.value) if form else StatementKind.NOTE
        self.statements.append(
            Statement(
                sheet=1,
                kind=kind,
                text=text,
                box=box,
                value=form.value if form else None,
                count=form.count if form else None,
                subject=form.subject if form else "",
                form=form,
            )
        )

    def row(self, name, count, *, material="PLYWOOD", **columns):
        """A row of the parts list: T, W, L, D as named."""
        sizes = tuple(inches(v) for v in columns.values())
        text = "  ".join([name, str(count), *map(str, columns.values()), material])
        form = StatementForm(
            kind=FormKind.PARTS_ROW,
            text=text,
            count=count,
            subject=name,
            sizes=sizes,
            columns=tuple(columns),
            material=material,
        )
        y = 600.0 + 15 * len(self.statements)
        self.statements.append(
            Statement(
                sheet=1,
                kind=StatementKind.PARTS_ROW,
                text=text,
                box=Box(3300, y, 3600, y + 10),
                count=count,
                subject=name,
                form=form,
            )
        )

    def stock(self, text, value, *, near):
        view = self.views[near - 1]
        form = StatementForm(
            kind=FormKind.STOCK, text=text, value=inches(value), value_kind=CalloutKind.THICKNESS
        )
        box = Box(view.box.x0 + 100, 540, view.box.x0 + 160, 550)
        self.statements.append(
            Statement(
                sheet=1,
                kind=StatementKind.STOCK,
                text=text,
                box=box,
                value=inches(value),
                form=form,
            )
        )

    def audit(self, **more) -> Audit:
        return Audit(
            name="plan",
            sheets=(self.sheet,),
            views=tuple(self.views),
            dimensions=tuple(self.dimensions),
            statements=tuple(self.statements),
            **more,
        )


def codes(plan, **more):
    """Codes of what is told of a plan."""
    return [f.code for f in check_plan(plan.audit(**more)).findings]


def finding(plan, code, **more):
    """Return the one finding of a code."""
    [one] = [f for f in check_plan(plan.audit(**more)).findings if f.code == code]
    return one


def base_plan(*, length="6 1/2", listed="13/2", others=3):
    """A base, drawn 6 1/2 × 3 3/4, and other parts whose rows all fit."""
    plan = PlanBuilder()
    for k in range(others):
        name = f"PANEL {chr(65 + k)}{chr(65 + k)}"
        view = plan.view(name, count=2)
        plan.size(view, f"{k + 2}", 0, k + 2)
        plan.size(view, "1 1/2", 0, 1.5, down=True)
        plan.row(name, 2, T="1/4", W="3/2", L=f"{k + 2}")
    view = plan.view("BASE", count=1)
    plan.size(view, length, 0, 4.5)
    plan.size(view, "3 3/4", 0, 3.75, down=True)
    plan.row("BASE", 1, T="3/4", W="15/4", L=listed)
    return plan
