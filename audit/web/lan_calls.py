"""The desk's calls about phones: show the code, make a new one, take it away."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from pydantic import Field

from audit.errors import BadUsage
from audit.web.lan import Phone, draw_code
from audit.web.models import Model

router = APIRouter()


class PhoneJson(Model):
    """Whether phones may bring photographs, and with which code."""

    listens: bool = Field(description="whether this run listens on the local network")
    host: str | None = Field(default=None, description="under which address it does")
    url: str | None = Field(default=None, description="what the code says; null: it has run out")
    seconds_left: float = 0.0
    code: tuple[str, ...] = Field(default=(), description="rows of the QR symbol; 1 is dark")
    photos: int = Field(default=0, description="taken in by phone during this run")


def the_phone(request: Request) -> Phone | None:
    """Return who may bring photographs; `None`: this run serves this machine only."""
    phone: Phone | None = request.app.state.phone
    return phone


MaybePhone = Annotated[Phone | None, Depends(the_phone)]


@router.get("/api/phone")
def get_phone(phone: MaybePhone) -> PhoneJson:
    """Tell whether phones may bring photographs, and show the code."""
    return _show(phone)


@router.post("/api/phone", status_code=201)
def renew_code(phone: MaybePhone) -> PhoneJson:
    """Make a new code for ten minutes; the one before is worth nothing any more."""
    _need(phone).renew()
    return _show(phone)


@router.delete("/api/phone")
def end_code(phone: MaybePhone) -> PhoneJson:
    """Take the code away; no phone may bring anything until there is a new one."""
    _need(phone).end()
    return _show(phone)


def _need(phone: Phone | None) -> Phone:
    if phone is None:
        problem = "this run does not listen on the local network"
        raise BadUsage(problem, advice="start it with plan-audit open --lan")
    return phone


def _show(phone: Phone | None) -> PhoneJson:
    if phone is None:
        return PhoneJson(listens=False)
    url = phone.url
    return PhoneJson(
        listens=True,
        host=phone.host,
        url=url,
        seconds_left=round(phone.seconds_left, 1),
        code=draw_code(url) if url else (),
        photos=phone.photos,
    )
