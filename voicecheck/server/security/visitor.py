"""Who sends a request: a signed cookie, and the form token that belongs to it.

The cookie holds a random name, whether its owner has shown the access token, and
a signature over both. The form token is another signature over the same name: a
page of another site can neither read it nor make it.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.server.security.secrets import new_name, same, signature

COOKIE = "voicecheck"
FORM_FIELD = "form_token"
_LONGEST = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """The owner of one cookie."""

    name: str
    admitted: bool
    """Has shown the access token, or none is demanded."""


def new_visitor(*, admitted: bool) -> Visitor:
    """Return somebody who was not here before."""
    return Visitor(name=new_name(), admitted=admitted)


def to_cookie(visitor: Visitor, key: bytes) -> str:
    """Return the value of a visitor's cookie."""
    body = f"{visitor.name}.{'in' if visitor.admitted else 'out'}"
    return f"{body}.{signature(key, 'cookie', body)}"


def from_cookie(text: str, key: bytes) -> Visitor | None:
    """Return the visitor of a cookie; None when it was not made with this key."""
    if len(text) > _LONGEST or not text.isascii():
        return None
    body, _, signed = text.rpartition(".")
    name, _, state = body.rpartition(".")
    if not name or not same(signed, signature(key, "cookie", body)):
        return None
    return Visitor(name=name, admitted=state == "in")


def form_token(visitor: Visitor, key: bytes) -> str:
    """Return what a form of this visitor must carry."""
    return signature(key, "form", visitor.name)


def is_form_token(text: str, visitor: Visitor, key: bytes) -> bool:
    """Tell whether a form was made for this visitor."""
    return same(text, form_token(visitor, key))
