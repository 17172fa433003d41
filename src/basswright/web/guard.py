"""Who may ask, and how much: host, origin, token and size, before anything is read.

Nothing of this is safe by default in a local server: any page in the same browser can
send it requests, and any name can be made to resolve to this machine. Rules: OWASP
Application Security Verification Standard 4.0.3, sections 4.2 (cross-site requests), 5.1
and 12.1 (input and file size), 14.4 (headers); Fetch Metadata, W3C working draft.
"""

from __future__ import annotations

import hmac
import re
from dataclasses import dataclass
from http.cookies import SimpleCookie
from typing import Final
from urllib.parse import parse_qsl, urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE: Final = "basswright_token"
_SAFE_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS"})

#: Scripts, styles, pictures and data come from this server alone. Style attributes are
#: allowed because the charts set them; style elements and scripts in the page are not.
POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "style-src-attr 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self' blob:",
        "media-src 'self'",
        "object-src 'self'",
        "frame-src 'self'",
        "frame-ancestors 'self'",
        "form-action 'self'",
        "base-uri 'none'",
    )
)

_HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(self), microphone=(self)",
}


@dataclass(frozen=True, kw_only=True)
class Guarded:
    """What is allowed.

    Attributes
    ----------
    hosts : frozenset of str
        Names and addresses, without a port, under which the server may be asked.
    token : str
        What a browser has to bring when the workshop shares the server; empty: nothing.
    largest_body : int
        Bytes of an ordinary request.
    largest_upload : int
        Bytes of a request to one of the `upload_paths`.
    upload_paths : str
        Regular expression of the addresses that take files.
    """

    hosts: frozenset[str] = frozenset({"localhost", "127.0.0.1", "::1"})
    token: str = ""
    largest_body: int = 1_000_000
    largest_upload: int = 64_000_000
    upload_paths: str = r"/(photos|import|scan|sheets)$|/proof/[^/]+$"


class _TooLargeError(Exception):
    """The body went beyond the limit while it was being received."""


class Guard:
    """ASGI middleware that refuses what must not come in and marks what goes out."""

    def __init__(self, app: ASGIApp, allowed: Guarded) -> None:
        self.app = app
        self.allowed = allowed

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        answer = self._refusal(scope)
        if answer is not None:
            await _marked(answer)(scope, receive, send)
            return
        await self._pass_on(scope, receive, send)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if _host(headers.get("host", "")) not in self.allowed.hosts:
            return PlainTextResponse("This server is not known under that name.", 400)
        if _comes_from_elsewhere(scope["method"], headers):
            return PlainTextResponse("Requests from other sites are refused.", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > self._limit(scope["path"]):
            return PlainTextResponse(self._too_large(scope["path"]), 413)
        return self._without_token(scope, headers)

    def _without_token(self, scope: Scope, headers: Headers) -> Response | None:
        token = self.allowed.token
        if not token:
            return None
        given = dict(parse_qsl(scope["query_string"].decode("latin-1"))).get("token", "")
        if hmac.compare_digest(given.encode(), token.encode()):
            return self._with_cookie(scope)
        cookies: SimpleCookie = SimpleCookie()
        cookies.load(headers.get("cookie", ""))
        kept = cookies[COOKIE].value if COOKIE in cookies else ""
        bearer = headers.get("authorization", "").removeprefix("Bearer ")
        if any(hmac.compare_digest(each.encode(), token.encode()) for each in (kept, bearer)):
            return None
        return PlainTextResponse(
            "Open the link, or scan the code, that the computer in the workshop shows.", 401
        )

    def _with_cookie(self, scope: Scope) -> Response | None:
        if scope["method"] not in _SAFE_METHODS:
            return None
        query = [
            pair
            for pair in parse_qsl(scope["query_string"].decode("latin-1"))
            if pair[0] != "token"
        ]
        path = "/" + scope["path"].lstrip("/\\")
        answer = RedirectResponse(f"{path}?{urlencode(query)}".rstrip("?"), status_code=303)
        answer.set_cookie(COOKIE, self.allowed.token, httponly=True, samesite="strict", path="/")
        return answer

    def _limit(self, path: str) -> int:
        takes_files = re.search(self.allowed.upload_paths, path)
        return self.allowed.largest_upload if takes_files else self.allowed.largest_body

    def _too_large(self, path: str) -> str:
        return f"Too large: at most {self._limit(path) / 1e6:g} MB are taken here."

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        limit, taken, started = self._limit(scope["path"]), 0, False

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit:
                raise _TooLargeError
            return message

        async def marked(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                _mark(MutableHeaders(scope=message), scope["path"])
            await send(message)

        try:
            await self.app(scope, counted, marked)
        except _TooLargeError:
            if started:
                raise
            answer = PlainTextResponse(self._too_large(scope["path"]), 413)
            await _marked(answer)(scope, receive, send)


def _host(header: str) -> str:
    try:
        return (urlsplit(f"//{header}").hostname or "").lower()
    except ValueError:
        return ""


def _comes_from_elsewhere(method: str, headers: Headers) -> bool:
    site = headers.get("sec-fetch-site", "none")
    if method in _SAFE_METHODS:
        is_link = headers.get("sec-fetch-mode", "navigate") == "navigate"
        return site == "cross-site" and not is_link
    origin = headers.get("origin")
    if origin is not None and urlsplit(origin).netloc.lower() != headers.get("host", "").lower():
        return True
    return site not in ("same-origin", "none")


def _mark(headers: MutableHeaders, path: str = "") -> None:
    for name, value in _HEADERS.items():
        headers.setdefault(name, value)
    # the address of a script or style changes with its content
    is_static = path.startswith("/static/")
    kept = "public, max-age=31536000, immutable" if is_static else "no-store"
    headers.setdefault("Cache-Control", kept)


def _marked(answer: Response) -> Response:
    _mark(answer.headers)
    return answer
