"""The job in a browser: parse, call a stage, show."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi import FastAPI
    from sqlalchemy import Engine

    from basswright.web.guard import Guarded

__all__ = ["app", "serve"]


def app(engine: Engine, *, guarded: Guarded | None = None, warm: bool = True) -> FastAPI:
    """Return the web app over a store; see :func:`basswright.web.application.app`."""
    from basswright.web.application import app as app_

    return app_(engine, guarded=guarded, warm=warm)


def serve(
    engine: Engine, *, lan: bool = False, port: int = 8765, open_browser: bool = True
) -> None:
    """Serve the app until it is stopped; see :func:`basswright.web.serving.serve`."""
    from basswright.web.serving import serve as serve_

    serve_(engine, lan=lan, port=port, open_browser=open_browser)
