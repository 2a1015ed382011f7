from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import audit.store
from audit.store import connection, migrations, sources, strangers
from audit.store.entries import USER_KINDS, UserEntry
from audit.store.kinds import KIND_NAMES
from audit.store.matching import SAME_END_PAPER

TEXT = (Path(__file__).parents[2] / "docs" / "audit-file.md").read_text("utf-8")
ROWS = re.findall(r"^\| (`[^|]*`) \|", TEXT, re.MULTILINE)
NAMED = {name for row in ROWS for name in re.findall(r"`([a-z-]+)`", row)}


def test_every_kind_of_entry_and_every_table_is_documented() -> None:
    tables = {table for kind, table, _, _ in migrations.expected_schema(1) if kind == "table"}
    assert KIND_NAMES.keys() | tables == NAMED


def test_every_act_of_a_person_has_one_name_in_the_file_and_leaves_the_layer() -> None:
    assert list(USER_KINDS.values()) == list(get_args(UserEntry))
    assert {kind.__name__ for kind in USER_KINDS.values()} <= set(audit.store.__all__)


def test_the_numbers_in_the_document_are_those_of_the_code() -> None:
    for said in (
        f"{SAME_END_PAPER} mm on the paper",
        f"{connection.MAX_RECORD_BYTES >> 20} MiB a row",
        f"{strangers.MAX_PAYLOAD_BYTES >> 30} GiB of history",
        f"{sources.MAX_SOURCE_BYTES >> 30} GiB a plan file",
        f"{connection.MAX_NAME_BYTES} bytes for the file's",
        f"{connection.MAX_PATH_BYTES} for its path",
        f"waits {connection.WAIT_S:.0f} s",
        f"{sources.CHUNK_BYTES >> 20} MiB a row",
    ):
        assert said in TEXT.replace("\n", " "), said
    assert migrations.APPLICATION_ID.to_bytes(4, "big").decode() in TEXT
