"""Start the server: on this machine alone, or shared in the workshop behind a token."""

from __future__ import annotations

import secrets
import socket
import sys
import threading
import time
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from basswright.web.guard import Guarded

if TYPE_CHECKING:
    from sqlalchemy import Engine

PORT: Final = 8765
#: What is told of a shared server, in plain words.
SHARED: Final = (
    "Anybody with this link or code may read and change everything, until the server stops.\n"
    "The connection is not encrypted: use it in your own workshop's network, not in a public one."
)


@dataclass(frozen=True, kw_only=True)
class Address:
    """Where the server answers.

    Attributes
    ----------
    link : str
        What to open.
    code : str
        The same as a QR code made of block characters; empty on this machine alone.
    """

    host: str
    port: int
    link: str
    code: str
    guarded: Guarded


def address(*, lan: bool = False, port: int = PORT) -> Address:
    """Work out where the server answers, and who may ask."""
    if not lan:
        here = f"http://127.0.0.1:{port}/"
        return Address(host="127.0.0.1", port=port, link=here, code="", guarded=Guarded())
    token, name = secrets.token_urlsafe(18), own_address()
    link = f"http://{name}:{port}/?token={token}"
    hosts = Guarded().hosts | {name, socket.gethostname().lower()}
    guarded = Guarded(hosts=frozenset(hosts), token=token)
    return Address(host="0.0.0.0", port=port, link=link, code=qr_code(link), guarded=guarded)


def own_address() -> str:
    """Return this machine's address in the local network; no packet is sent for it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # a documentation address, RFC 5737
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def qr_code(link: str) -> str:
    """Return a QR code that a terminal can show."""
    import io

    import segno

    shown = io.StringIO()
    segno.make(link, error="m").terminal(out=shown, compact=True)
    return shown.getvalue()


def serve(
    engine: Engine,
    *,
    lan: bool = False,
    port: int = PORT,
    open_browser: bool = True,
    say: Callable[[str], object] = sys.stdout.write,
) -> None:
    """Serve the app until it is stopped.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    lan : bool
        Share it in the workshop, behind a token that the link and the QR code carry.
    port : int
    open_browser : bool
    say : callable
        Told the link, and the code.
    """
    import uvicorn

    from basswright.web.application import app

    where = address(lan=lan, port=port)
    say(f"Open {where.link}\n")
    if where.code:
        say(f"{where.code}\n{SHARED}\nStop with Ctrl+C.\n")
    if open_browser:
        threading.Thread(target=_open_later, args=(where.link,), daemon=True).start()
    uvicorn.run(
        app(engine, guarded=where.guarded),
        host=where.host,
        port=where.port,
        log_level="warning",
        server_header=False,
    )


def _open_later(link: str) -> None:
    time.sleep(0.6)
    webbrowser.open(link)
