"""The outermost layer: sizes, names and headers, before anything is parsed.

An ASGI application around another one (https://asgi.readthedocs.io).
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""Content Security Policy (https://www.w3.org/TR/CSP3/): nothing inline, nothing
from elsewhere, in no frame."""

HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # "no-referrer" would blank the Origin of our own forms (Fetch Standard)
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
LONGEST_PATH = 2048
"""Bytes of path and query together."""


class Gate:
    """Guard an application.

    Args:
        app: what is guarded.
        host_names: names that requests may address, without ports; None: any.
        most_body_bytes: of one request.
        larger: limits of their own for addresses that begin so.
    """

    def __init__(
        self,
        app: App,
        *,
        host_names: frozenset[str] | None,
        most_body_bytes: int,
        larger: Mapping[str, int] | None = None,
    ) -> None:
        self._app = app
        self._host_names = host_names
        self._most = most_body_bytes
        self._larger = dict(larger or {})

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headed = _with_headers(scope, send)
        status, text = self._refusal(scope)
        if status:
            await _plain(headed, status, text)
            return
        most = self._most_of(scope)
        counted = _Counted(receive, headed, most, _too_long(most))
        await self._app(scope, counted.receive, counted.send)

    def _refusal(self, scope: Scope) -> tuple[int, str]:
        headers = dict(scope["headers"])
        if not self._is_ours(headers.get(b"host", b"").decode("latin-1")):
            return 421, "This server does not answer to that name."
        # an application under a lifespan test may leave raw_path out
        path = scope.get("raw_path") or scope["path"].encode()
        if len(path) + len(scope.get("query_string", b"")) > LONGEST_PATH:
            return 414, "This address is too long."
        if not scope["path"].isprintable():
            return 400, "This address has signs that no address has."
        length = headers.get(b"content-length", b"0")
        if not length.isdigit():
            return 400, "The length of this request is not a number."
        most = self._most_of(scope)
        if int(length) > most:
            return 413, _too_long(most)
        return 0, ""

    def _most_of(self, scope: Scope) -> int:
        path = scope["path"]
        own = (most for begin, most in self._larger.items() if path.startswith(begin))
        return next(own, self._most)

    def _is_ours(self, host: str) -> bool:
        if self._host_names is None:
            return True
        name = host.lower()
        if not name.endswith("]"):
            head, colon, port = name.rpartition(":")
            name = head if colon and port.isdigit() else name
        return name in self._host_names


def _too_long(most: int) -> str:
    return f"This request is longer than {most} bytes; nothing is recorded."


class _Counted:
    """One exchange whose body is cut off, and refused, when it grows too long."""

    def __init__(self, receive: Receive, send: Send, most: int, text: str) -> None:
        self._receive = receive
        self._send = send
        self._left = most
        self._text = text
        self._refused = False

    async def receive(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0 and not self._refused:
            self._refused = True
            await _plain(self._send, 413, self._text)
        return {"type": "http.disconnect"} if self._refused else message

    async def send(self, message: Message) -> None:
        if not self._refused:
            await self._send(message)


def _with_headers(scope: Scope, send: Send) -> Send:
    stays = scope["path"].startswith("/static/")

    async def headed(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name.lower() for name, _ in message["headers"]}
            wanted = dict(HEADERS)
            wanted["cache-control"] = "max-age=300" if stays else "no-store"
            message["headers"] = [
                *message["headers"],
                *(
                    (name.encode(), value.encode())
                    for name, value in wanted.items()
                    if name.encode() not in own
                ),
            ]
        await send(message)

    return headed


async def _plain(send: Send, status: int, text: str) -> None:
    body = text.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
