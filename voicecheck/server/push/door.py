"""Let nobody push who has not shown the push token.

The push token is another one than the access token of the pages: a device in a
yard that gets lost gives away the right to push, not the right to read. It stays
the same from one start of the server to the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from starlette.datastructures import Headers

from voicecheck.atomic_file import replace_file
from voicecheck.errors import UsageError
from voicecheck.server.push.answers import failure
from voicecheck.server.security.gate import App, Receive, Scope, Send
from voicecheck.server.security.secrets import new_token, same_token

TOKEN_FILE = "push-token"  # noqa: S105 - the name of the file
"""In the home folder of the server."""
_LEAST_SIGNS = 16
_BEARER = "bearer "


def push_tokens(path: Path, *, make: bool) -> tuple[str, ...]:
    """Return the tokens of a file: one a line, so that each device can have its own.

    Empty lines, and lines that begin with #, do not count.

    Args:
        path: the file.
        make: make it with a new token when it is missing.

    Raises:
        UsageError: it cannot be read or made, or holds no token that is long enough.
    """
    try:
        if make and not path.exists():
            replace_file(path, f"{new_token()}\n".encode(), 0o600)
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{path}: the push token cannot be read: {error}") from error
    tokens = [line.strip() for line in lines]
    tokens = [token for token in tokens if token and not token.startswith("#")]
    signs = [sum(sign.isalnum() for sign in token) for token in tokens]
    if not tokens or min(signs) < _LEAST_SIGNS:
        raise UsageError(
            f"{path}: give each push token at least {_LEAST_SIGNS} letters and "
            "digits, one token a line; or remove the file and a new one is made"
        )
    return tuple(tokens)


class Door:
    """Guard an ASGI application.

    Args:
        app: what is guarded.
        tokens: any of them lets in.
    """

    def __init__(self, app: App, tokens: Sequence[str]) -> None:
        assert tokens
        self._app = app
        self._tokens = tuple(tokens)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        given = Headers(scope=scope).get("authorization", "")
        token = given[len(_BEARER) :] if given.lower().startswith(_BEARER) else ""
        known = [same_token(token, one) for one in self._tokens]  # always all of them
        if any(known):
            await self._app(scope, receive, send)
            return
        refusal = failure(
            401,
            "the push token is missing or wrong; it is named where the server was "
            "started",
            {"www-authenticate": "Bearer"},
        )
        await refusal(scope, receive, send)
