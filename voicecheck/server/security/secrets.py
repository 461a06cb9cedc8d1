"""Secrets: made from the system's randomness, compared in constant time."""

from __future__ import annotations

import hashlib
import hmac
import secrets

_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Base 32 without I, L, O and U, which are misread (Crockford,
https://www.crockford.com/base32.html)."""
_MISREAD = str.maketrans("ILO", "110")
_GROUPS = 5
_GROUP_SIGNS = 4


def new_token() -> str:
    """Return an access token of 100 random bits, in groups that can be typed."""
    signs = [secrets.choice(_SIGNS) for _ in range(_GROUPS * _GROUP_SIGNS)]
    groups = [
        "".join(signs[at : at + _GROUP_SIGNS])
        for at in range(0, len(signs), _GROUP_SIGNS)
    ]
    return "-".join(groups)


def same_token(given: str, wanted: str) -> bool:
    """Tell whether a typed token is the wanted one; case and dashes are free."""
    return hmac.compare_digest(_plain(given).encode(), _plain(wanted).encode())


def new_key() -> bytes:
    """Return a key of 256 random bits."""
    return secrets.token_bytes(32)


def new_name() -> str:
    """Return a random name that cannot be guessed, for use in a cookie or form."""
    return secrets.token_urlsafe(18)


def signature(key: bytes, purpose: str, text: str) -> str:
    """Return the HMAC-SHA-256 (RFC 2104) of a text for one purpose, in hex."""
    return hmac.new(key, f"{purpose}\0{text}".encode(), hashlib.sha256).hexdigest()


def same(first: str, second: str) -> bool:
    """Compare two texts in a time that tells nothing about them."""
    return hmac.compare_digest(first.encode(), second.encode())


def _plain(token: str) -> str:
    signs = "".join(sign for sign in token.upper() if sign.isalnum())
    return signs.translate(_MISREAD)
