"""What must not come in is refused, before anything is read.

Sources: OWASP Application Security Verification Standard 4.0.3, 4.2.2 (cross-site request
forgery), 5.3.3 (cross-site scripting), 12.1.1 (size), 12.3.1 (file names), 14.4 (headers).
"""

from __future__ import annotations

from collections.abc import Iterator

import httpx
import pytest
from fastapi import FastAPI, Request
from sqlalchemy import Engine

from basswright.web import app
from basswright.web.guard import COOKIE, POLICY, Guard, Guarded
from tests.web.conftest import Server, client_of


def echo() -> FastAPI:
    """Return a small app that reads whatever body it is sent."""
    made = FastAPI()

    @made.post("/echo")
    async def read(request: Request) -> dict[str, int]:
        return {"bytes": len(await request.body())}

    @made.get("/")
    def front() -> dict[str, str]:
        return {"said": "hello"}

    made.add_middleware(Guard, allowed=Guarded(largest_body=1000, largest_upload=5000))
    return made


@pytest.fixture(scope="module")
def plain() -> Iterator[httpx.Client]:
    """A client of the small app that sends no more than a program does."""
    with Server(echo()) as server, httpx.Client(base_url=server.address) as client:
        yield client


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "", "127.0.0.1.evil.example"]
)
def test_a_name_that_is_not_ours_is_refused(plain: httpx.Client, host: str) -> None:
    """A name made to resolve to this machine must not reach the server."""
    assert plain.get("/", headers={"Host": host}).status_code == 400


@pytest.mark.parametrize("host", ["localhost", "localhost:8765", "127.0.0.1:9", "[::1]:80"])
def test_our_own_names_are_answered(plain: httpx.Client, host: str) -> None:
    assert plain.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://localhost", "Sec-Fetch-Site": "cross-site"},
    ],
)
def test_a_change_asked_for_by_another_site_is_refused(
    plain: httpx.Client, headers: dict[str, str]
) -> None:
    assert plain.post("/echo", headers=headers, content=b"x").status_code == 403


def test_a_program_without_an_origin_and_our_own_pages_may_post(plain: httpx.Client) -> None:
    assert plain.post("/echo", content=b"x").json() == {"bytes": 1}
    own = {"Origin": str(plain.base_url).rstrip("/"), "Sec-Fetch-Site": "same-origin"}
    assert plain.post("/echo", headers=own, content=b"x").json() == {"bytes": 1}


def test_a_link_from_elsewhere_opens_a_page_but_a_script_from_elsewhere_reads_nothing(
    plain: httpx.Client,
) -> None:
    link = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    script = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
    assert plain.get("/", headers=link).status_code == 200
    assert plain.get("/", headers=script).status_code == 403


def test_a_large_body_is_refused_by_its_length_and_while_it_comes_in(plain: httpx.Client) -> None:
    assert plain.post("/echo", content=b"x" * 1000).json() == {"bytes": 1000}
    assert plain.post("/echo", content=b"x" * 1001).status_code == 413

    def chunks() -> Iterator[bytes]:
        for _ in range(20):
            yield b"x" * 100

    assert plain.post("/echo", content=chunks()).status_code == 413


def test_every_answer_carries_the_protecting_headers(plain: httpx.Client) -> None:
    for answer in (plain.get("/"), plain.get("/nothing"), plain.get("/", headers={"Host": "x"})):
        assert answer.headers["Content-Security-Policy"] == POLICY
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert answer.headers["Cache-Control"] == "no-store"
    scripts = next(part for part in POLICY.split("; ") if part.startswith("script-src"))
    assert scripts == "script-src 'self'"
    assert "default-src 'none'" in POLICY


@pytest.fixture(scope="module")
def with_token(filled: Engine) -> Iterator[httpx.Client]:
    """The app as a workshop shares it."""
    guarded = Guarded(token="right-token")
    with client_of(app(filled, guarded=guarded, warm=False)) as client:
        yield client


@pytest.mark.parametrize("path", ["/", "/api/about", "/jobs/demo-hatchback/car"])
def test_without_the_token_nothing_is_shown(with_token: httpx.Client, path: str) -> None:
    answer = with_token.get(path)
    assert answer.status_code == 401
    assert "hatchback" not in answer.text


@pytest.mark.parametrize("token", ["", "wrong", "right-toke", "right-token2", "ä"])
def test_a_wrong_token_is_refused(with_token: httpx.Client, token: str) -> None:
    assert with_token.get("/", params={"token": token}).status_code == 401
    bearer = {"Authorization": f"Bearer x{token}".encode("latin-1")}
    assert with_token.get("/api/about", headers=bearer).status_code == 401


def test_the_link_with_the_token_opens_the_door_and_leaves_the_address(
    with_token: httpx.Client,
) -> None:
    answer = with_token.get("/jobs?text=a&token=right-token", follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/jobs?text=a"
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=strict" in cookie.lower()
    assert answer.cookies[COOKIE] == "right-token"
    assert with_token.get("/").status_code == 200
    with_token.cookies.clear()


def test_the_link_never_leads_to_another_site(with_token: httpx.Client) -> None:
    address = f"{str(with_token.base_url).rstrip('/')}//evil.example?token=right-token"
    assert "//evil.example" in address
    answer = with_token.get(address, follow_redirects=False)
    assert answer.headers["location"] == "/evil.example"
    with_token.cookies.clear()


def test_a_program_brings_the_token_as_a_bearer(with_token: httpx.Client) -> None:
    bearer = {"Authorization": "Bearer right-token"}
    assert with_token.get("/api/about", headers=bearer).status_code == 200
