"""Killed, out of space, locked out: what the user sees, and what is left of the file."""

from __future__ import annotations

import os
import random
import resource
import select
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from audit.errors import AuditError, BadAudit, CannotWrite
from audit.store import AuditFile, RenameAudit, create_audit, inspect_stranger, open_audit
from audit.store.atomic import appearing_file
from tests.store.builders import make_found
from tests.store.scripted import act

ROOT = Path(__file__).parents[2]
LONGEST_S = 0.05  # from the last act that counts to the kill: several acts on a quick machine
MOST_ACTS = 25


@contextmanager
def zygote() -> Iterator[subprocess.Popen[bytes]]:
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    with subprocess.Popen(
        [sys.executable, "-m", "tests.store.killed"],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        bufsize=0,
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def _lines_until_end(stream: int) -> Iterator[list[str]]:
    rest = b""
    while True:
        ready, _, _ = select.select([stream], [], [], 60)
        assert ready, "the scripted program hangs"
        rest += os.read(stream, 65536)
        *lines, rest = rest.split(b"\n")
        for line in lines:
            yield line.decode().rsplit(" ", 2)


def kill_one(process: subprocess.Popen[bytes], path: Path, seed: int) -> int:
    """Let a program work on the audit, kill it at a random moment, return the last it confirmed.

    The moment is counted in what was confirmed, then a blink: a busy machine sees the same kills.
    """
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(f"{path} {seed}\n".encode())
    rng = random.Random(seed)
    left, blink = rng.randrange(MOST_ACTS), rng.uniform(0.0, LONGEST_S)
    confirmed, pid = 1, 0  # it was created
    for word, number, revision in _lines_until_end(process.stdout.fileno()):
        assert word != "error", number
        if word == "end":
            break
        if word == "child":
            pid = int(number)
        else:
            confirmed = int(revision)
            left -= 1
        if left == 0:
            left = -1  # once
            threading.Timer(blink, os.kill, (pid, signal.SIGKILL)).start()
    return confirmed


def check_after_kill(path: Path, confirmed: int) -> int:
    """Everything confirmed is there, the file opens, undo works; return the entries found."""
    report = inspect_stranger(path)
    assert report.state_matches
    assert report.revision >= confirmed
    assert report.revision <= confirmed + 2  # the one in hand, with its judgement
    with open_audit(path) as file:
        assert file.load() == file.replayed()
        file.record(RenameAudit(name="still alive"), revision=file.revision)
        file.undo(revision=file.revision)
        assert file.load().name != "still alive"
        for source in file.list_sources():
            assert sum(map(len, file.iterate_source(source.digest))) == source.size
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    return report.revision


def kill_many(folder: Path, seeds: range) -> None:
    revisions, journals = [], 0
    with zygote() as process:
        for seed in seeds:
            home = folder / str(seed)
            home.mkdir()
            path = home / "lift.audit"
            create_audit(path, name="lift").close()
            confirmed = kill_one(process, path, seed)
            journals += len(list(home.iterdir())) - 1
            revisions.append(check_after_kill(path, confirmed))
    assert max(revisions) > 10
    if len(seeds) >= 200:
        assert journals > 0  # some were killed in the middle of a write


def test_killed_at_twenty_random_moments_loses_nothing_confirmed(tmp_path: Path) -> None:
    kill_many(tmp_path, range(20))


@pytest.mark.hard
def test_killed_at_five_hundred_random_moments_loses_nothing_confirmed(tmp_path: Path) -> None:
    kill_many(tmp_path, range(1000, 1500))


@pytest.fixture
def interrupted(lift: AuditFile, tmp_path: Path) -> Path:
    """A file and its journal as a power cut in the middle of a large write leaves them."""
    folder = tmp_path / "after the power cut"
    folder.mkdir()
    raw = sqlite3.connect(lift.path, isolation_level=None)
    raw.execute("PRAGMA cache_size = 5")
    raw.execute("BEGIN IMMEDIATE")
    raw.execute("UPDATE state SET record = upper(record)")
    for n in range(30):
        raw.execute("INSERT INTO chunks VALUES (9, ?, zeroblob(20000))", (n,))
    for suffix in ("", "-journal"):
        copy = folder / f"lift.audit{suffix}"
        copy.write_bytes(Path(f"{lift.path}{suffix}").read_bytes())
    raw.execute("ROLLBACK")
    raw.close()
    assert folder.joinpath("lift.audit").read_bytes() != lift.path.read_bytes()
    return folder / "lift.audit"


def test_a_write_cut_off_is_rolled_back_at_the_next_opening(
    lift: AuditFile, interrupted: Path
) -> None:
    with open_audit(interrupted) as file:
        assert file.load() == lift.load() == file.replayed()
    assert [p.name for p in interrupted.parent.iterdir()] == ["lift.audit"]


def test_a_write_cut_off_is_rolled_back_before_looking_through(interrupted: Path) -> None:
    assert inspect_stranger(interrupted).state_matches


def test_reading_only_after_a_write_was_cut_off_says_what_to_do(interrupted: Path) -> None:
    before = interrupted.read_bytes()
    with pytest.raises(CannotWrite, match=r"was stopped while it changed .* open the audit once"):
        open_audit(interrupted, read_only=True)
    assert interrupted.read_bytes() == before


# No room


@contextmanager
def files_at_most(size: int) -> Iterator[None]:
    """No file may grow beyond `size` bytes: what a full disk or a quota does to a write."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("room", [0, 1000, 5000, 20_000, 60_000, 150_000])
def test_no_room_while_writing_is_one_clear_line_and_changes_nothing(
    lift: AuditFile, room: int
) -> None:
    size = lift.path.stat().st_size
    with files_at_most(max(size - 4096, 0) + room):
        error = until_refused(lambda n: lift.add_source(bytes([n]) * 100_000, f"plan {n}.pdf"))
    assert_one_line(error)
    history = lift.history()
    before = lift.load()
    assert len(history) == len(lift.list_sources()) + 2
    with open_audit(lift.path) as again:
        assert again.load() == before == again.replayed()
        again.record(RenameAudit(name="room again"), revision=again.revision)
    assert inspect_stranger(lift.path).state_matches
    assert [p.name for p in lift.path.parent.iterdir()] == ["lift.audit"]


@pytest.mark.parametrize("room", [0, 100, 10_000])
def test_no_room_for_a_new_audit_leaves_no_file(tmp_path: Path, room: int) -> None:
    with (
        files_at_most(room),
        pytest.raises(CannotWrite, match=r"cannot write .*a\.audit") as caught,
    ):
        create_audit(tmp_path / "a.audit", name="x")
    assert_one_line(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_no_room_for_a_plan_taken_out_leaves_no_file(lift: AuditFile, tmp_path: Path) -> None:
    digest = lift.add_source(b"x" * 3_000_000, "plan.pdf")
    with files_at_most(1_000_000), pytest.raises(CannotWrite) as caught:
        lift.read_source(digest, tmp_path / "plan.pdf")
    assert_one_line(caught.value)
    assert [p.name for p in tmp_path.iterdir()] == ["lift.audit"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of 400 KB, where this may be mounted."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(folder)]
    try:
        done = subprocess.run(mount, capture_output=True, check=False)
    except OSError:
        pytest.skip("no mount command here")
    if done.returncode != 0:
        pytest.skip("mounting needs root")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_full_disk_is_one_clear_line_and_changes_nothing(small_disk: Path) -> None:
    with create_audit(small_disk / "lift.audit", name="lift") as file:
        file.add_run(make_found(), revision=1)
        confirmed = [file.revision]

        def fill(n: int) -> None:
            entry = RenameAudit(name=f"{n} " + "long " * 2000)
            confirmed.append(file.record(entry, revision=confirmed[-1]))

        error = until_refused(fill)
        assert "disk is full" in str(error)
        assert_one_line(error)
        assert file.revision == confirmed[-1] > 2
        kept = file.load()
    with open_audit(small_disk / "lift.audit", read_only=True) as again:
        assert again.load() == kept == again.replayed()


def until_refused(write: Callable[[int], object]) -> CannotWrite:
    """Write again and again until that is refused; return the refusal."""
    for n in range(200):
        try:
            write(n)
        except CannotWrite as error:
            return error
    raise AssertionError("there was always room")


def assert_one_line(error: AuditError) -> None:
    line = str(error)
    assert "\n" not in line
    assert error.advice
    assert len(line) < 300


# Read-only


def run_as_nobody(tmp_path: Path, code: str) -> str:
    """Run code as a user who may not write here; as root nothing is read-only."""
    if os.geteuid() != 0:
        return _run(code)
    for folder in (tmp_path, *tmp_path.parents):
        if folder != Path("/") and folder.stat().st_uid == 0 and folder.name.startswith("pytest"):
            folder.chmod(0o755)
    return _run(f"import os; os.setgid(65534); os.setuid(65534)\n{code}")


def _run(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", f"from audit.store import *; from pathlib import Path\n{code}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout + done.stderr[-300:]


TRY = """
try:
    {action}
except Exception as error:
    print(type(error).__name__, error)
"""


def test_a_read_only_file_or_folder_is_one_clear_line(lift: AuditFile, tmp_path: Path) -> None:
    lift.close()
    before = lift.path.read_bytes()
    opening = TRY.format(action=f"open_audit(Path({str(lift.path)!r}))")
    creating = TRY.format(action=f"create_audit(Path({str(tmp_path / 'b.audit')!r}), name='b')")
    reading = f"print(open_audit(Path({str(lift.path)!r}), read_only=True).load().name)"
    for folder in tmp_path.parents:  # the runner's folders are closed to others
        if folder.is_relative_to(tempfile.gettempdir()) and folder.stat().st_uid == os.getuid():
            folder.chmod(folder.stat().st_mode | 0o011)
    lift.path.chmod(0o444)
    tmp_path.chmod(0o555)
    try:
        told = run_as_nobody(tmp_path, opening)
        assert told.startswith("CannotWrite cannot change lift.audit: the file is read-only: copy")
        lift.path.chmod(0o666)
        told = run_as_nobody(tmp_path, opening)
        assert told.startswith("CannotWrite cannot change lift.audit: its folder is read-only")
        told = run_as_nobody(tmp_path, creating)
        assert told.startswith("CannotWrite cannot write ")
        assert "Permission denied" in told
        assert run_as_nobody(tmp_path, reading) == "marble lift\n"
        lift.path.chmod(0o000)
        told = run_as_nobody(tmp_path, TRY.format(action=reading))
        assert told.startswith("NotReadable cannot read ")
    finally:
        lift.path.chmod(0o644)
        tmp_path.chmod(0o755)
    assert lift.path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["lift.audit"]


def test_a_file_made_read_only_while_open_is_one_clear_line(lift: AuditFile) -> None:
    """The folder vanishes: no journal can be made."""
    before = lift.revision
    hidden = lift.path.parent.with_name("moved away")
    lift.path.parent.rename(hidden)
    with pytest.raises(CannotWrite) as caught:
        lift.record(RenameAudit(name="x"), revision=before)
    assert_one_line(caught.value)
    hidden.rename(lift.path.parent)
    lift.record(RenameAudit(name="x"), revision=before)


# Locked


def test_a_locked_audit_is_one_clear_line_after_a_short_wait(lift: AuditFile) -> None:
    lock = sqlite3.connect(lift.path, isolation_level=None)
    lock.execute("BEGIN EXCLUSIVE")
    start = time.monotonic()
    with pytest.raises(CannotWrite, match=r"lift\.audit is in use by another program: try again"):
        open_audit(lift.path, wait_s=0.2)
    assert 0.1 < time.monotonic() - start < 3
    lock.execute("ROLLBACK")
    lock.close()
    with open_audit(lift.path, wait_s=0.2) as file:
        file.record(RenameAudit(name="free"), revision=file.revision)


def test_a_writer_waits_for_another_to_finish(lift: AuditFile) -> None:
    lock = sqlite3.connect(lift.path, isolation_level=None, check_same_thread=False)
    lock.execute("BEGIN IMMEDIATE")
    timer = threading.Timer(0.3, lambda: lock.execute("ROLLBACK"))
    timer.start()
    lift.record(RenameAudit(name="after"), revision=lift.revision)
    timer.join()
    lock.close()
    assert lift.load().name == "after"


def test_a_reader_sees_whole_revisions_while_another_program_writes(lift: AuditFile) -> None:
    stop, seen = threading.Event(), set[int]()

    def write() -> None:
        n = 0
        with open_audit(lift.path) as file:
            while not stop.is_set():
                n += 1
                act(file, ("read", "move", "run", "undo")[n % 4], n % 60)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        with open_audit(lift.path, read_only=True) as reader:
            end = time.monotonic() + 30
            while len(seen) < 8 and time.monotonic() < end:
                snapshot = reader.snapshot()
                seen.add(snapshot.revision)
                runs = sum(e.kind == "run" for e in reader.history()[: snapshot.revision])
                assert runs == len(snapshot.runs)
    finally:
        stop.set()
        writer.join()
    assert len(seen) == 8


# Files that appear whole


def test_a_file_that_fails_half_way_leaves_nothing_and_keeps_the_old_one(tmp_path: Path) -> None:
    target = tmp_path / "out.bin"
    target.write_bytes(b"old")

    def fail() -> None:
        with appearing_file(target, replace=True) as file:
            file.write(b"new, but")
            raise BadAudit("something went wrong")

    with pytest.raises(BadAudit):
        fail()
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
