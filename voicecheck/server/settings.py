"""How one server is set up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "[::1]"})
"""Names by which a browser on this computer calls the server."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServerSettings:
    """What `create_app` is told."""

    home: Path
    """Where the journal and the records lie."""
    token: str | None = None
    """What a visitor must know; None: whoever reaches the server may use it."""
    host_names: frozenset[str] | None = LOOPBACK_NAMES
    """Names that requests may address; None: any, which needs a token."""
    secure_cookies: bool = False
    """The server speaks TLS: cookies never go over an open line."""
    language: str = "en"
    """Of pages, until a visitor chooses another."""
    checklists: Mapping[str, Path] = field(default_factory=dict)
    """Own checklists beside those that come with voicecheck, by name."""
    site_rules: Path | None = None
    most_body_bytes: int = 65_536
    """A longer request is refused unread."""
    poll_s: float = 0.5
    """How often the live page looks into the journal."""

    def __post_init__(self) -> None:
        if self.host_names is None and self.token is None:
            raise ValueError("a server that answers to any name must demand a token")
