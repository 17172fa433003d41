"""Who may ask where: this machine alone, or the workshop by a link with a token."""

from __future__ import annotations

import socket
from typing import Any

import pytest
from sqlalchemy import Engine

from basswright.web import serving
from basswright.web.guard import Guarded


def test_without_sharing_only_this_machine_is_listened_to() -> None:
    where = serving.address()
    assert (where.host, where.code, where.guarded.token) == ("127.0.0.1", "", "")
    assert where.link == f"http://127.0.0.1:{serving.PORT}/"
    assert where.guarded == Guarded()


def test_a_shared_server_asks_for_a_token_that_the_link_and_the_code_carry() -> None:
    first, second = serving.address(lan=True), serving.address(lan=True)
    assert first.guarded.token != second.guarded.token
    assert len(first.guarded.token) >= 22  # 128 bits and more, in base64
    assert first.link.endswith(f"/?token={first.guarded.token}")
    assert serving.own_address() in first.guarded.hosts
    assert socket.gethostname().lower() in first.guarded.hosts
    assert first.code == serving.qr_code(first.link) != second.code
    assert len(first.code.splitlines()) >= 15


@pytest.mark.parametrize("lan", [False, True])
def test_what_is_told_is_where_it_answers_and_that_sharing_is_not_secret(
    engine: Engine, monkeypatch: pytest.MonkeyPatch, lan: bool
) -> None:
    import uvicorn

    told: list[str] = []
    ran: dict[str, Any] = {}
    monkeypatch.setattr(uvicorn, "run", lambda app, **more: ran.update(more, app=app))
    serving.serve(engine, lan=lan, port=8799, open_browser=False, say=told.append)
    text = "".join(told)
    assert ran["port"] == 8799
    assert ran["host"] == ("0.0.0.0" if lan else "127.0.0.1")
    assert ":8799/" in text
    assert ("not encrypted" in text) is lan
    assert ("token=" in text) is lan
