"""What bare numbers count, changed by a person: readings and statements are meant anew.

What was read before a unit was set is kept, so that taking the setting back brings it back.
"""

from __future__ import annotations

from dataclasses import replace

from audit.lengths import Unit, count_as, count_form_as, counted_unit
from audit.records import Dimension, Reading, Statement, StatementKind
from audit.store.state import State


def count_anew(state: State, unit: Unit | None) -> State:
    """Read bare numbers as counting another unit; those a person typed as well.

    Parameters
    ----------
    state : State
        Before the setting.
    unit : Unit or None
        `None`: as the plan prints; as it was read before any unit was set.

    Returns
    -------
    State
    """
    if state.head.settings.unit is None:
        read = {n: d.reading for n, d in state.dimensions.items() if d.reading is not None}
        state = replace(state, as_printed=read)
    back = unit if unit is not None else _as_printed(state)
    if back is None:
        return state
    dimensions = {n: _count(d, back) for n, d in state.dimensions.items()}
    if unit is None:
        dimensions = {n: _restored(d, state.as_printed.get(n)) for n, d in dimensions.items()}
    statements = tuple(_count_statement(s, back) for s in state.statements)
    return replace(state, dimensions=dimensions, statements=statements)


def _as_printed(state: State) -> Unit | None:
    """What bare numbers counted as they were read before any unit was set, or as a note says."""
    readings = state.as_printed.values()
    read = counted_unit((r.callout, r.text) for r in readings if r.callout is not None)
    forms = (s.form for s in state.statements if s.kind is StatementKind.UNIT)
    said = {form.unit for form in forms if form is not None and form.unit is not None}
    return said.pop() if read is None and len(said) == 1 else read


def _count(dimension: Dimension, unit: Unit) -> Dimension:
    reading = dimension.reading
    if reading is None or reading.callout is None:
        return dimension
    callout = count_as(reading.callout, reading.text, unit)
    return replace(dimension, reading=replace(reading, callout=callout))


def _restored(dimension: Dimension, before: Reading | None) -> Dimension:
    reading = dimension.reading
    if reading is None or before is None or reading.text != before.text:
        return dimension
    return replace(dimension, reading=replace(reading, callout=before.callout))


def _count_statement(statement: Statement, unit: Unit) -> Statement:
    form = statement.form
    if form is None:
        return statement
    again = count_form_as(form, statement.text, unit)
    value = again.value if statement.value == form.value else statement.value
    return replace(statement, form=again, value=value)
