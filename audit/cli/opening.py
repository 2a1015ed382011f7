"""`plan-audit open`: the audit behind the page, and the server."""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

from audit.cli.printing import tell_progress
from audit.cli.strangers import open_checked
from audit.errors import AuditError, BadUsage, NotReadable
from audit.store import AuditFile, create_audit
from audit.web.desk import Desk
from audit.web.lan import Phone, write_code
from audit.web.serving import Serving, serve

SUFFIX = ".audit"
UNNAMED = "plan"


def run_open(paths: tuple[Path, ...], serving: Serving) -> int:
    """Open an audit, or plans, in the browser; returns when it is stopped.

    Returns
    -------
    int
        The exit code.

    Raises
    ------
    BadUsage
        If two audits are named.
    NotReadable
        If a plan is missing.
    AuditError
        If no plan could be read: what was wrong with the first.
    """
    audits = [p for p in paths if p.suffix.lower() == SUFFIX]
    plans = tuple(p for p in paths if p.suffix.lower() != SUFFIX)
    if len(audits) > 1:
        raise BadUsage("two audits cannot be open at once", advice="name one, and plans to add")
    for plan in plans:
        if not plan.is_file():
            raise NotReadable(f"{plan} does not exist", advice="check the name and folder")
    desk = Desk(open_checked(audits[0]) if audits else find_audit(plans))
    try:
        tell_progress(f"the audit is {desk.file.path}")
        failed = add_plans(desk, plans)
        if failed and len(failed) == len(plans) and not desk.file.load().sheets:
            raise failed[0]
        serve(desk, serving, tell=_tell_address, tell_phone=_tell_phone)
    except AuditError:
        if not audits and desk.file.revision == 1:
            desk.file.path.unlink()  # made just now, for nothing
        raise
    finally:
        desk.close()
    return 0


def add_plans(desk: Desk, plans: tuple[Path, ...]) -> list[AuditError]:
    """Take plans in that the audit does not have yet; say which could not be read."""
    failed = []
    for plan in plans:
        tell_progress(f"opening {plan.name}")
        try:
            desk.add_plan(plan, plan.name)
        except BadUsage:  # it is in the audit already
            continue
        except AuditError as error:
            failed.append(error)
            print(f"plan-audit: {plan.name}: {error}", file=sys.stderr)
    return failed


def find_audit(plans: tuple[Path, ...]) -> AuditFile:
    """Open the audit beside the first plan, or make it; without a plan, one in this folder."""
    if plans:
        wanted = plans[0].with_suffix(SUFFIX)
        if wanted.exists():
            return open_checked(wanted)
        return create_audit(wanted, name=plans[0].stem)
    for number in count(1):
        wanted = Path.cwd() / f"{UNNAMED}{'' if number == 1 else f'-{number}'}{SUFFIX}"
        if not wanted.exists():
            return create_audit(wanted, name=wanted.stem)
    raise AssertionError("count() never ends")


def _tell_address(address: str) -> None:
    print(f"Open {address}", flush=True)
    tell_progress("Ctrl-C ends it; everything confirmed is kept")


def _tell_phone(phone: Phone) -> None:
    url = phone.url or ""
    print("Also listening on the local network, for photographs from a phone only.", flush=True)
    print(f"For the next ten minutes: {url}", flush=True)
    print("It is plain HTTP: who listens on that network can see the pictures.", flush=True)
    print("The page makes a new code (More, Photograph with a phone).", flush=True)
    if sys.stdout.isatty():
        print(write_code(url), flush=True)
