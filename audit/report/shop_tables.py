"""The shop list as a table (CSV) and as data (JSON)."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from enum import StrEnum
from typing import Any

from audit.lengths import Length
from audit.records import FinishedSize, ShopList, ShopPart
from audit.report.phrases import spell_length
from audit.report.spreadsheet import compose_csv

VERSION = 1
COLUMNS = (
    "item",
    "part",
    "make",
    "spares",
    "material",
    "T or D",
    "W",
    "L",
    "unit",
    "sizes from",
    "rough W",
    "rough L",
    "tools",
    "grain",
    "cautions",
    "on hold",
    "sheets",
)
_NUMBERS = ("make", "spares")


def shop_csv(shop: ShopList) -> str:
    """Compose the cut list as CSV, one part a row; nothing in it becomes a formula."""
    return compose_csv(COLUMNS, [_cells(part) for part in shop.parts], numbers=_NUMBERS)


def _cells(part: ShopPart) -> tuple[str, ...]:
    by_side = {size.side: size for size in part.sizes}
    rough = dict(zip((s.side for s in part.sizes), part.rough, strict=True))
    units = [s.size.unit.value for s in part.sizes if s.size is not None]
    tools = [f"{t.name}: {t.use}{f' ×{t.times}' if t.times > 1 else ''}" for t in part.tools]
    return (
        part.item,
        part.name,
        "" if part.count is None else str(part.count),
        str(part.spares),
        part.material,
        _spelled(by_side.get("T", by_side.get("D"))),
        _across(by_side),
        _spelled(by_side.get("L")),
        units[0] if units else "",
        "; ".join(f"{s.side} {s.says or s.source.value}" for s in part.sizes),
        _length(rough.get("W")),
        _length(rough.get("L")),
        "; ".join(tools),
        part.grain,
        "; ".join(part.cautions),
        "; ".join(hold.says for hold in part.holds),
        " ".join(map(str, part.sheets)),
    )


def _across(by_side: dict[str, FinishedSize]) -> str:
    """Width; of a disk, whose thickness has the column before, the diameter with its sign."""
    if {"D", "T"} <= by_side.keys():
        return f"Ø {_spelled(by_side['D'])}".strip()
    return _spelled(by_side.get("W"))


def _spelled(size: FinishedSize | None) -> str:
    return "" if size is None else _length(size.size)


def _length(size: Length | None) -> str:
    return "" if size is None else spell_length(size)


def shop_json(shop: ShopList) -> str:
    """Compose the shop list as JSON; sizes are ``{"value": "3 3/8", "unit": "in"}``."""
    return json.dumps({"version": VERSION, **_plain(shop)}, indent=1, ensure_ascii=False) + "\n"


def _plain(value: Any) -> Any:
    """Turn records into what JSON holds, field by field."""
    if isinstance(value, Length):
        return {"value": spell_length(value), "unit": value.unit.value}
    if isinstance(value, StrEnum):
        return value.value
    if is_dataclass(value):
        return {f.name: _plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value
