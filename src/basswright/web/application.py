"""The app object: the same for a browser on this machine, tablets in the workshop and tests."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from typing import TYPE_CHECKING, Final

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from sqlalchemy.exc import SQLAlchemyError
from starlette.middleware.gzip import GZipMiddleware

from basswright import __version__, errors
from basswright.web import (
    api,
    car_pages,
    job_pages,
    option_pages,
    paper_pages,
    proof_pages,
    system_pages,
    tradeoff_pages,
    wish_pages,
)
from basswright.web.desk import Desk
from basswright.web.guard import Guard, Guarded
from basswright.web.pages import Pages, static_folder, tell_errors

if TYPE_CHECKING:
    from sqlalchemy import Engine

#: The first page goes out before the catalogue is prepared.
_FIRST_PAGE_S: Final = 0.8

_PAGES = (
    job_pages,
    car_pages,
    wish_pages,
    option_pages,
    tradeoff_pages,
    system_pages,
    paper_pages,
    proof_pages,
)


def app(engine: Engine, *, guarded: Guarded | None = None, warm: bool = True) -> FastAPI:
    """Return the web app over a store.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    guarded : Guarded, optional
        Who may ask, and how much; without it, browsers on this machine only.
    warm : bool
        Prepare the catalogue in the background, so that the first list comes at once.

    Returns
    -------
    FastAPI

    Raises
    ------
    MissingPartError
        Scripts and styles were not built (``make setup`` does it).
    """
    folder = static_folder()
    if not (folder / "vendor" / "built.json").exists():
        raise errors.MissingPartError("the browser's scripts (run 'make setup')", "all")
    desk = Desk(engine)
    version = _stamp()

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        if warm:
            later = threading.Timer(_FIRST_PAGE_S, _quietly(desk))
            later.daemon = True
            later.start()
        yield

    made = FastAPI(
        title="Basswright",
        version=__version__,
        summary="Options, system, papers and catalogue for other shop software.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=lifespan,
    )
    made.state.desk = desk
    made.state.pages = Pages(version)
    made.include_router(api.router)
    for module in _PAGES:
        made.include_router(module.router, include_in_schema=False)
    made.mount(f"/static/{version}", StaticFiles(directory=folder), name="static")
    tell_errors(made)
    made.add_middleware(GZipMiddleware, minimum_size=1000)
    made.add_middleware(Guard, allowed=guarded or Guarded())
    return made


def _stamp() -> str:
    digest = hashlib.sha256(__version__.encode())
    for file in sorted(static_folder().rglob("*")):
        if file.is_file():
            digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()[:12]


def _quietly(desk: Desk) -> Callable[[], None]:
    def warm() -> None:
        with suppress(errors.BasswrightError, SQLAlchemyError):
            desk.seed()
            if desk.has_catalogue():
                for stored in desk.jobs.list()[:1]:
                    desk.options(stored.job)

    return warm
