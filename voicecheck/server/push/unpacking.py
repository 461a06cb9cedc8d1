"""Take bodies that were packed with gzip (RFC 9110, 8.4.1.3) apart, within bounds.

A few kilobytes can hold gigabytes, so unpacking stops at a limit.
"""

from __future__ import annotations

import zlib

from starlette.datastructures import Headers
from starlette.requests import ClientDisconnect, Request

from voicecheck.server.push.answers import failure
from voicecheck.server.security.gate import App, Message, Receive, Scope, Send

_GZIP = 16 + zlib.MAX_WBITS
"""zlib's way to say: with the header and the check sum of gzip."""


class Unpacking:
    """Read the whole body, unpack it, hand it to an ASGI application.

    Args:
        app: sees plain bodies only.
        most_bytes: of one body once it is unpacked.
    """

    def __init__(self, app: App, most_bytes: int) -> None:
        self._app = app
        self._most = most_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        coding = Headers(scope=scope).get("content-encoding", "identity").lower()
        if coding not in {"identity", "gzip"}:
            refusal = failure(415, "pack the body with gzip, or not at all")
            await refusal(scope, receive, send)
            return
        try:
            body = await Request(scope, receive).body()
        except ClientDisconnect:
            return  # the sender is gone, or the gate has refused the rest
        try:
            plain = _unpacked(body, self._most) if coding == "gzip" else body
        except zlib.error:
            await failure(400, "the body is no whole gzip")(scope, receive, send)
            return
        if plain is None or len(plain) > self._most:
            text = f"the body is longer than {self._most} bytes; send less at once"
            await failure(413, text)(scope, receive, send)
            return
        await self._app(_plain_scope(scope, len(plain)), _once(plain, receive), send)


def _unpacked(body: bytes, most_bytes: int) -> bytes | None:
    """Return the unpacked body; None when it is longer than that.

    Raises:
        zlib.error: it is no gzip, was cut, or something comes after it.
    """
    unpacker = zlib.decompressobj(_GZIP)
    plain = unpacker.decompress(body, most_bytes + 1)
    if len(plain) > most_bytes:
        return None
    if not unpacker.eof or unpacker.unused_data:
        raise zlib.error("not one whole gzip member")
    return plain


def _plain_scope(scope: Scope, length: int) -> Scope:
    gone = {b"content-encoding", b"content-length", b"transfer-encoding"}
    headers = [(name, value) for name, value in scope["headers"] if name not in gone]
    return {
        **scope,
        "headers": [*headers, (b"content-length", str(length).encode())],
    }


def _once(body: bytes, receive: Receive) -> Receive:
    given = False

    async def giving() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return giving
