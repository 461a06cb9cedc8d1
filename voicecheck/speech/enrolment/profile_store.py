"""Voice profiles on this computer: one folder an operator, one file a version.

    voices/<operator>/owner.json        whose it is, which version counts
                      sounds/*.flac     the recordings, named by their hash
                      versions/0003.json, 0003.npz
                      draft.json        an unfinished session

A voice is personal data: files can be read by their owner only, nothing is
sent anywhere, and `delete` removes everything.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from pydantic import ValidationError

from voicecheck.clock import Clock, utc_text
from voicecheck.errors import ProfileError
from voicecheck.speech.enrolment import fitted_file
from voicecheck.speech.enrolment.fitting import FittedVoice
from voicecheck.speech.enrolment.manifest import Owner, VersionFile
from voicecheck.speech.enrolment.private_files import (
    private_folder,
    write_private,
)
from voicecheck.speech.enrolment.profile import Example, VersionKind
from voicecheck.speech.enrolment.profile_sounds import (
    keep_sounds,
    read_examples,
    remove_sounds,
)

__all__ = ["ProfileStore", "StoredProfile", "folder_name"]

MOST_VERSIONS = 30
"""Older ones that no enrolment made are removed, with sounds nobody needs."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StoredProfile:
    """One version of an operator's profile."""

    operator: str
    about: VersionFile
    examples: tuple[Example, ...]
    voice: FittedVoice
    damaged: int
    """Recordings that could not be read."""
    learn: bool


def folder_name(operator: str) -> str:
    """Return a folder name that stays inside and differs for each operator."""
    readable = quote(operator.casefold(), safe="").replace(".", "%2E")[:80]
    return f"{readable}-{hashlib.sha256(operator.encode()).hexdigest()[:8]}"


class ProfileStore:
    """Keep voices under one folder."""

    def __init__(self, home: Path, clock: Clock) -> None:
        self.root = home / "voices"
        self._clock = clock

    def folder(self, operator: str) -> Path:
        """Return where a voice lies."""
        return self.root / folder_name(operator)

    def operators(self) -> tuple[Owner, ...]:
        """Return all whose voice is kept, by name."""
        found = []
        for path in sorted(self.root.glob("*/owner.json")):
            try:
                found.append(Owner.model_validate_json(path.read_bytes()))
            except (OSError, ValidationError) as error:
                raise _damaged(path) from error
        return tuple(sorted(found, key=lambda owner: owner.operator))

    def has(self, operator: str) -> bool:
        """Tell whether an operator has a finished profile."""
        owner = self._owner(operator)
        return owner is not None and owner.current > 0

    def versions(self, operator: str) -> tuple[VersionFile, ...]:
        """Return all versions, the oldest first."""
        paths = sorted((self.folder(operator) / "versions").glob("*.json"))
        return tuple(self._version(path) for path in paths)

    def current(self, operator: str) -> int:
        """Return the number of the version that counts; 0: none."""
        owner = self._owner(operator)
        return owner.current if owner else 0

    def load(self, operator: str, version: int | None = None) -> StoredProfile:
        """Return one version; None: the one that counts.

        Raises:
            ProfileError: there is none, or its files are damaged.
        """
        owner = self._owner(operator)
        if owner is None or owner.current == 0:
            raise ProfileError(
                f"{operator} has no voice profile: voicecheck enrol --operator "
                f"{operator!r} makes one"
            )
        path = self._path(operator, version or owner.current)
        about = self._version(path)
        try:
            voice = fitted_file.from_bytes(path.with_suffix(".npz").read_bytes())
        except (OSError, ValueError, KeyError) as error:
            raise _damaged(path.with_suffix(".npz")) from error
        examples = read_examples(self._sounds(operator), about.examples)
        return StoredProfile(
            operator=operator,
            about=about,
            examples=examples,
            voice=voice,
            damaged=len(about.examples) - len(examples),
            learn=owner.learn,
        )

    def save(
        self,
        operator: str,
        examples: Sequence[Example],
        voice: FittedVoice,
        *,
        kind: VersionKind,
        language: str,
        network: str,
    ) -> VersionFile:
        """Keep a new version, which counts from now on.

        Raises:
            ProfileError: it could not be written; the version before counts.
        """
        owner = self._owner(operator) or Owner(operator=operator, current=0)
        number = max((v.version for v in self.versions(operator)), default=0) + 1
        about = VersionFile(
            version=number,
            kind=kind,
            language=language,
            network=network,
            created_utc=utc_text(self._clock.now()),
            examples=keep_sounds(self._sounds(operator), examples),
            based_on=owner.current or None,
        )
        path = self._path(operator, number)
        write_private(path.with_suffix(".npz"), fitted_file.to_bytes(voice))
        write_private(path, _json(about))
        self._write_owner(owner.model_copy(update={"current": number}))
        self._thin_out(operator)
        return about

    def go_back(self, operator: str, version: int) -> VersionFile:
        """Let an older (or newer) version count from now on.

        Raises:
            ProfileError: there is no such version.
        """
        owner = self._owner(operator)
        numbers = [v.version for v in self.versions(operator)]
        if owner is None or version not in numbers:
            known = ", ".join(map(str, numbers)) or "none"
            raise ProfileError(
                f"{operator} has no version {version} of the voice profile; "
                f"there are: {known}"
            )
        self._write_owner(owner.model_copy(update={"current": version}))
        return self._version(self._path(operator, version))

    def set_learning(self, operator: str, learn: bool) -> None:
        """Allow or forbid that confirmed answers join."""
        owner = self._owner(operator) or Owner(operator=operator, current=0)
        self._write_owner(owner.model_copy(update={"learn": learn}))

    def delete(self, operator: str) -> bool:
        """Remove everything of an operator's voice; False when there was nothing."""
        folder = self.folder(operator)
        if not folder.exists():
            return False
        try:
            shutil.rmtree(folder)
        except OSError as error:
            raise ProfileError(
                f"{folder} could not be removed ({error.strerror or error}); "
                "remove the folder by hand"
            ) from error
        return True

    def save_draft(self, operator: str, language: str, all_: Sequence[Example]) -> None:
        """Keep the good examples of an unfinished session."""
        if self._owner(operator) is None:
            self._write_owner(Owner(operator=operator, current=0))
        draft = VersionFile(
            version=0,
            kind=VersionKind.ENROLMENT,
            language=language,
            network="",
            created_utc=utc_text(self._clock.now()),
            examples=keep_sounds(self._sounds(operator), all_),
        )
        write_private(self.folder(operator) / "draft.json", _json(draft))

    def draft(self, operator: str) -> tuple[Example, ...]:
        """Return the good examples of an unfinished session."""
        path = self.folder(operator) / "draft.json"
        if not path.is_file():
            return ()
        return read_examples(self._sounds(operator), self._version(path).examples)

    def drop_draft(self, operator: str) -> None:
        """Forget the unfinished session."""
        (self.folder(operator) / "draft.json").unlink(missing_ok=True)
        self._thin_out(operator)

    # ---- files --------------------------------------------------------

    def _path(self, operator: str, version: int) -> Path:
        return self.folder(operator) / "versions" / f"{version:04}.json"

    def _owner(self, operator: str) -> Owner | None:
        path = self.folder(operator) / "owner.json"
        if not path.is_file():
            return None
        try:
            return Owner.model_validate_json(path.read_bytes())
        except (OSError, ValidationError) as error:
            raise _damaged(path) from error

    def _write_owner(self, owner: Owner) -> None:
        private_folder(self.root)
        write_private(self.folder(owner.operator) / "owner.json", _json(owner))

    def _version(self, path: Path) -> VersionFile:
        try:
            return VersionFile.model_validate_json(path.read_bytes())
        except (OSError, ValidationError) as error:
            raise _damaged(path) from error

    def _sounds(self, operator: str) -> Path:
        return self.folder(operator) / "sounds"

    def _thin_out(self, operator: str) -> None:
        """Remove the oldest versions that walks made, and sounds nobody needs."""
        versions = self.versions(operator)
        current = self.current(operator)
        spare = [
            v
            for v in versions[:-1]
            if v.kind is not VersionKind.ENROLMENT and v.version != current
        ]
        for old in spare[: max(0, len(versions) - MOST_VERSIONS)]:
            self._path(operator, old.version).unlink(missing_ok=True)
            self._path(operator, old.version).with_suffix(".npz").unlink(
                missing_ok=True
            )
        needed = {e.sound for v in self.versions(operator) for e in v.examples}
        draft = self.folder(operator) / "draft.json"
        if draft.is_file():
            needed |= {e.sound for e in self._version(draft).examples}
        remove_sounds(self._sounds(operator), needed)


def _json(model: Owner | VersionFile) -> bytes:
    return (model.model_dump_json(indent=1) + "\n").encode()


def _damaged(path: Path) -> ProfileError:
    return ProfileError(
        f"{path} cannot be read: it is damaged or comes from a newer voicecheck. "
        "Go back to an older version (voicecheck enrol --versions), or delete the "
        "profile and enrol again"
    )
