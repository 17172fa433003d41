"""How a page is made: templates, what every page shows, errors in words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.exceptions import HTTPException

from basswright import errors, quantities
from basswright.web import words
from basswright.web.desk import Desk
from basswright.web.sparkline import sparkline

#: Kind of error -> HTTP status (RFC 9110); the first that fits.
STATUS: Final = (
    (errors.NotFoundError, 404),
    (errors.ConflictError, 409),
    (errors.TooLargeError, 413),
    (errors.MissingPartError, 501),
    (errors.BasswrightError, 422),
)


@dataclass(frozen=True, kw_only=True)
class Reply:
    """A page or a part of one, before it is sent."""

    template: str
    data: Mapping[str, Any]
    status: int = 200
    headers: Mapping[str, str] | None = None


class Pages:
    """Makes pages from templates.

    Parameters
    ----------
    version : str
        Stamp of the scripts and styles, so that a browser keeps them until they change.
    """

    def __init__(self, version: str) -> None:
        self.environment = Environment(
            loader=PackageLoader("basswright.web"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.environment.globals |= {
            "stages": words.STAGES,
            "words": words,
            "kind_lines": words.BOX_KINDS,
            "sparkline": sparkline,
            "static": f"/static/{version}",
        }
        self.environment.filters |= {
            "litres": quantities.litres,
            "low_limit": words.low_limit,
            "mm": quantities.millimetres,
            "money": lambda value: f"{value:,.0f}".replace(",", "\u202f"),
        }

    def send(self, request: Request, reply: Reply) -> HTMLResponse:
        """Return a page as a response."""
        template = self.environment.get_template(reply.template)
        data = {"request": request, "is_part": "hx-request" in request.headers, **reply.data}
        return HTMLResponse(template.render(data), reply.status, dict(reply.headers or {}))


def desk_of(request: Request) -> Desk:
    """Return the desk of the running server."""
    found = request.app.state.desk
    assert isinstance(found, Desk)
    return found


def page(request: Request, template: str, **data: Any) -> HTMLResponse:
    """Send a page of the running server."""
    pages = request.app.state.pages
    assert isinstance(pages, Pages)
    return pages.send(request, Reply(template=template, data=data))


def part(
    request: Request, template: str, *, told: Mapping[str, Any] | None = None, **data: Any
) -> HTMLResponse:
    """Send a part of a page; `told` are events for the rest of the page."""
    pages = request.app.state.pages
    assert isinstance(pages, Pages)
    headers = {"HX-Trigger": json.dumps(dict(told))} if told else {}
    return pages.send(request, Reply(template=template, data=data, headers=headers))


def status_of(error: Exception) -> int:
    """Return the HTTP status that tells of an error."""
    return next((code for kind, code in STATUS if isinstance(error, kind)), 500)


def as_data(error: errors.BasswrightError) -> dict[str, Any]:
    """Return an error as the API tells it."""
    data: dict[str, Any] = {"error": type(error).__name__, "message": str(error)}
    if isinstance(error, errors.InputErrors):
        data["problems"] = [as_data(each) for each in error.errors]
    if isinstance(error, errors.InputError):
        shown = None if error.value is None else str(error.value)[:200]
        data |= {"item": error.item, "field": error.field, "read": shown, "allowed": error.allowed}
    return data


def tell_errors(app: FastAPI) -> None:
    """Have every error shown in words: as JSON to programs, as a page to people."""

    async def ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, errors.BasswrightError)
        status = status_of(error)
        if _is_program(request):
            return JSONResponse(as_data(error), status)
        problems = error.errors if isinstance(error, errors.InputErrors) else (error,)
        return _told(request, status, str(error), [str(each) for each in problems])

    async def http(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        text = "There is nothing at this address." if error.status_code == 404 else error.detail
        if _is_program(request):
            return JSONResponse({"error": "HTTP", "message": text}, error.status_code)
        return _told(request, error.status_code, text, [text])

    async def invalid(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        problems = [
            {
                "error": "InputError",
                "message": str(each["msg"]),
                "field": ".".join(str(part) for part in each["loc"]),
            }
            for each in error.errors()
        ]
        if _is_program(request):
            data = {"error": "InputErrors", "message": "the request", "problems": problems}
            return JSONResponse(data, 422)
        lines = [f"{each['field']}: {each['message']}" for each in problems]
        return _told(request, 422, "; ".join(lines), lines)

    async def unexpected(request: Request, _error: Exception) -> Response:
        text = "Something went wrong in the program. Nothing that was saved is lost."
        if _is_program(request):
            return JSONResponse({"error": "Unexpected", "message": text}, 500)
        return _told(request, 500, text, [text])

    app.add_exception_handler(errors.BasswrightError, ours)
    app.add_exception_handler(HTTPException, http)
    app.add_exception_handler(RequestValidationError, invalid)
    app.add_exception_handler(Exception, unexpected)


def _is_program(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def _told(request: Request, status: int, text: str, problems: list[str]) -> Response:
    pages = request.app.state.pages
    assert isinstance(pages, Pages)
    if "hx-request" in request.headers:
        headers = {"HX-Retarget": "#notices", "HX-Reswap": "beforeend"}
        data: dict[str, Any] = {"problems": problems, "status": status}
        return pages.send(
            request,
            Reply(template="parts/notice.html", data=data, status=status, headers=headers),
        )
    data = {"problems": problems, "status": status, "text": text}
    return pages.send(request, Reply(template="problem.html", data=data, status=status))


def static_folder() -> Path:
    """Return the folder of scripts and styles inside the package."""
    return Path(str(resources.files("basswright.web") / "static"))
