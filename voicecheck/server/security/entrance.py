"""Know every visitor by a cookie; let nobody in who has not shown the token.

An ASGI application around another one. What the pages need of it lies in
`Entrance.visitor_of(request)`.
"""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse

from voicecheck.server.security.gate import App, Message, Receive, Scope, Send
from voicecheck.server.security.secrets import new_key, same_token
from voicecheck.server.security.visitor import (
    COOKIE,
    Visitor,
    form_token,
    from_cookie,
    is_form_token,
    new_visitor,
    to_cookie,
)

DOOR = "/enter"
"""The one page that somebody without the token sees."""
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_KEY = "voicecheck_visitor"
_BEARER = "bearer "


class Entrance:
    """Make and check cookies with a key that lives as long as the server.

    Args:
        token: what a visitor must know; None: nothing.
        secure: whether cookies are for TLS only.
        language: of pages, until a visitor chooses another.
    """

    def __init__(self, *, token: str | None, secure: bool, language: str) -> None:
        self._token = token
        self._secure = secure
        self._key = new_key()
        self.language = language

    def around(self, app: App) -> App:
        """Return the guarded application."""

        async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
            if scope["type"] != "http":
                await app(scope, receive, send)
                return
            visitor, is_new = self._visitor(Headers(scope=scope))
            scope[_KEY] = visitor
            headed = self._introduced(send, visitor) if is_new else send
            refusal = self._refusal(scope, visitor)
            await (refusal or app)(scope, receive, headed)

        return guarded

    @staticmethod
    def visitor_of(request: Request) -> Visitor:
        """Return who sent a request."""
        visitor: Visitor = request.scope[_KEY]
        return visitor

    def form_token(self, request: Request) -> str:
        """Return what the forms of a page must carry."""
        return form_token(self.visitor_of(request), self._key)

    def is_own_form(self, request: Request, given: str) -> bool:
        """Tell whether a form was made by this server for this visitor."""
        return is_form_token(given, self.visitor_of(request), self._key)

    def knows(self, token: str) -> bool:
        """Tell whether a typed token is the right one."""
        return self._token is None or same_token(token, self._token)

    def admit(self, response: Any) -> None:
        """Let the receiver of a response in, under a new name."""
        visitor = new_visitor(admitted=True)
        response.headers.append("set-cookie", self._cookie(visitor))

    def _visitor(self, headers: Headers) -> tuple[Visitor, bool]:
        given = headers.get("authorization", "")
        if self._token and given.lower().startswith(_BEARER):
            admitted = same_token(given[len(_BEARER) :], self._token)
            return new_visitor(admitted=admitted), False
        known = from_cookie(_cookie_value(headers), self._key)
        if known is not None:
            return known, False
        return new_visitor(admitted=self._token is None), True

    def _refusal(self, scope: Scope, visitor: Visitor) -> App | None:
        safe = scope["method"] in _SAFE
        if not safe and _comes_from_elsewhere(Headers(scope=scope)):
            return PlainTextResponse("This form came from another site.", 403)
        path = scope["path"]
        if visitor.admitted or path == DOOR or path.startswith("/static/"):
            return None
        if safe and "text/html" in Headers(scope=scope).get("accept", ""):
            return RedirectResponse(DOOR, 303)
        return PlainTextResponse(
            "The access token is missing or wrong; it stands where the server was "
            "started.",
            401,
            {"www-authenticate": "Bearer"},
        )

    def _cookie(self, visitor: Visitor) -> str:
        text = f"{COOKIE}={to_cookie(visitor, self._key)}; Path=/; HttpOnly"
        return f"{text}; SameSite=Strict" + ("; Secure" if self._secure else "")

    def _introduced(self, send: Send, visitor: Visitor) -> Send:
        async def introducing(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if f"{COOKIE}=" not in headers.get("set-cookie", ""):
                    headers.append("set-cookie", self._cookie(visitor))
            await send(message)

        return introducing


def _cookie_value(headers: Headers) -> str:
    try:
        cookies = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return ""
    return cookies[COOKIE].value if COOKIE in cookies else ""


def _comes_from_elsewhere(headers: Headers) -> bool:
    """Tell whether a browser says so (Fetch Metadata, https://www.w3.org/TR/fetch-metadata/)."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site not in {"same-origin", "none"}
    origin = headers.get("origin")
    if origin is None:
        return False  # no browser of today; the form token still decides
    return origin.partition("://")[2] != headers.get("host", "")
