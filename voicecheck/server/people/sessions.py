"""Who is signed in, for the length of a shift, kept across a restart.

A browser holds a random name in a cookie; the file holds only the name's hash, so
whoever reads the file cannot sign in with it. Marks that wait on a tablet while
the server is started again can then be sent without signing in anew.
"""

from __future__ import annotations

import hashlib
import json
import threading
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from voicecheck.atomic_file import replace_file
from voicecheck.clock import Clock, utc_text
from voicecheck.errors import JournalError
from voicecheck.server.security.secrets import new_name

LENGTH = timedelta(hours=12)
"""A longer shift is not usual (common practice, no source)."""
_FILE = "signed_in.json"
_MOST = 1000
"""Of all sessions; the oldest go first."""


class _Kept(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    person: str
    until_utc: datetime


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid")

    sessions: dict[str, _Kept]
    """By the SHA-256 of the name in the cookie."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A session that was just opened."""

    name: str
    """For the cookie; kept nowhere else."""
    length_s: int


class Sessions:
    """Open, find and close sessions. Safe to use from several threads.

    Args:
        folder: where the file lies; only its owner can read it.
        clock: tells when a session is over.
    """

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._file = folder / _FILE
        self._clock = clock
        self._lock = threading.Lock()
        self._sessions = self._read()

    def open(self, person: str) -> Opened:
        """Sign a person in.

        Raises:
            JournalError: it could not be written down.
        """
        name = new_name()
        until = self._clock.now() + LENGTH
        with self._lock:
            going = dict(self._going()[-_MOST + 1 :])
            going[_hash(name)] = _Kept(person=person, until_utc=until)
            self._write(going)
        return Opened(name=name, length_s=round(LENGTH.total_seconds()))

    def person(self, name: str) -> str | None:
        """Return who has signed in under a name; None: nobody, or too long ago."""
        kept = self._sessions.get(_hash(name)) if name else None
        if kept is None or kept.until_utc <= self._clock.now():
            return None
        return kept.person

    def close(self, name: str) -> None:
        """Sign out; a name that is not known is none any more.

        Raises:
            JournalError: it could not be written down.
        """
        with self._lock:
            going = dict(self._going())
            if going.pop(_hash(name), None) is not None:
                self._write(going)

    def _going(self) -> list[tuple[str, _Kept]]:
        now = self._clock.now()
        going = [each for each in self._sessions.items() if each[1].until_utc > now]
        return sorted(going, key=lambda each: each[1].until_utc)

    def _read(self) -> dict[str, _Kept]:
        """A file that cannot be read signs nobody in."""
        try:
            return _File.model_validate_json(self._file.read_bytes()).sessions
        except (OSError, ValidationError):
            return {}

    def _write(self, sessions: dict[str, _Kept]) -> None:
        shown = {
            key: {"person": kept.person, "until_utc": utc_text(kept.until_utc)}
            for key, kept in sessions.items()
        }
        data = json.dumps({"sessions": shown}, ensure_ascii=False, indent=1)
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            replace_file(self._file, data.encode(), 0o600)
        except OSError as error:
            raise JournalError(
                f"{self._file} could not be written ({error.strerror or error}); "
                "make room or check the rights of its folder, then try again"
            ) from error
        self._sessions = sessions


def _hash(name: str) -> str:
    return hashlib.sha256(name.encode()).hexdigest()
