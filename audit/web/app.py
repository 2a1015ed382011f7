"""The application: routes, the one error shape, static files."""

from __future__ import annotations

import logging
from http import HTTPStatus
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles
from xstatic.pkg import leaflet

from audit.errors import AuditError
from audit.web import acts, lan_calls, looks
from audit.web.desk import Desk
from audit.web.guard import Door, Guard, refuse
from audit.web.lan import Phone
from audit.web.models import ErrorJson

log = logging.getLogger(__name__)

STATIC = Path(__file__).parent / "static"
SHAPES: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorJson, "description": HTTPStatus(status).phrase}
    for status in (400, 401, 403, 404, 409, 413, 422, 507)
}


def create_app(desk: Desk, door: Door, phone: Phone | None = None) -> FastAPI:
    """Make the application around an open audit.

    Parameters
    ----------
    desk : Desk
    door : Door
        Who may come in.
    phone : Phone or None
        Who may bring photographs over the local network; `None`: nobody.

    Returns
    -------
    FastAPI
    """
    app = FastAPI(
        title="plan-audit",
        description="Everything the page does is one of these calls.",
        version="1",
        docs_url=None,
        redoc_url=None,
        responses=SHAPES,
    )
    app.state.desk = desk
    app.state.phone = phone
    app.include_router(looks.router)
    app.include_router(acts.router)
    app.include_router(lan_calls.router)
    app.mount("/static/leaflet", StaticFiles(directory=leaflet.BASE_DIR), name="leaflet")
    app.mount("/static", StaticFiles(directory=STATIC), name="static")

    @app.get("/", include_in_schema=False)
    def page() -> FileResponse:
        return FileResponse(STATIC / "index.html", headers={"Cache-Control": "no-cache"})

    app.add_exception_handler(AuditError, _say_error)
    app.add_exception_handler(RequestValidationError, _say_invalid)
    app.add_exception_handler(HTTPException, _say_http)
    app.add_exception_handler(Exception, _say_fault)
    app.add_middleware(Guard, door=door)
    return app


async def _say_error(_: Request, error: Exception) -> Response:
    assert isinstance(error, AuditError)  # registered for these only
    return JSONResponse(error.as_json(), status_code=error.http_status)


async def _say_invalid(_: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    where = ".".join(str(part) for part in first["loc"][1:]) or "the request"
    problem = f"{where}: {first['msg']}"[:300]
    return refuse(422, "bad-usage", problem, "see /openapi.json for what this call takes")


async def _say_http(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if error.status_code == 404:
        return refuse(404, "not-found", "there is nothing at this address", "see /openapi.json")
    if error.status_code == 405:
        problem = "this address does not take that method"
        return refuse(405, "not-allowed", problem, "see /openapi.json")
    return refuse(error.status_code, "bad-request", "the request cannot be used", "")


async def _say_fault(request: Request, error: Exception) -> Response:
    log.error("%s %s failed", request.method, request.url.path, exc_info=error)
    problem = f"a fault of the program ({type(error).__name__})"
    return refuse(500, "internal", problem, "what was confirmed is kept; report what you did")
