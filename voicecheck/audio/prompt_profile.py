"""How prompts are to be played at this computer: a small file beside the records.

`voicecheck soundcheck --save` writes it, walks read it. The file is JSON with
a version; anything unknown in it is refused.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from voicecheck.errors import VoicecheckError
from voicecheck.hearing.prompt_level import PromptSetting, PromptVerdict

__all__ = [
    "FILE_NAME",
    "MicrophoneCalibration",
    "PromptProfile",
    "PromptProfileError",
    "load_profile",
    "remove_profile",
    "save_profile",
]

FILE_NAME = "soundcheck.json"

_Decibels = Annotated[float, Field(ge=-60, le=60, allow_inf_nan=False)]
_Level = Annotated[float, Field(ge=-60, le=160, allow_inf_nan=False)]
_Index = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class PromptProfileError(VoicecheckError):
    """The saved sound check cannot be read or written."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class MicrophoneCalibration(_Strict):
    """What a digital level of one microphone stands for."""

    device: Annotated[str, Field(min_length=1, max_length=200)]
    full_scale_db: Annotated[float, Field(ge=0, le=220, allow_inf_nan=False)]
    """Sound pressure level of a signal whose RMS is 1.0."""


class PromptProfile(_Strict):
    """Gain, equaliser and rate of prompts, and what they were set for."""

    schema_: Literal["voicecheck.soundcheck"] = Field(
        default="voicecheck.soundcheck", alias="schema"
    )
    version: Literal[1] = 1
    saved_utc: str
    noise_dba: _Level
    """The noise that it was set for, outside any protector."""
    gain_db: _Decibels
    equaliser_db: Annotated[tuple[_Decibels, ...], Field(min_length=6, max_length=6)]
    """Change of each octave from 250 Hz to 8 kHz on top of the gain."""
    words_a_minute: Annotated[int, Field(ge=80, le=300)]
    sii_before: _Index
    sii: _Index
    """Speech intelligibility index as set."""
    level_before_dba: _Level
    level_dba: _Level
    """Of the prompt alone at the ear, as set."""
    full_scale_dba: Annotated[float, Field(ge=0, le=220, allow_inf_nan=False)]
    """Level at the ear of an unshaped sound of 0 dBFS, A-weighted."""
    cap_dba: _Level
    """Level at the ear that no prompt and no tone may pass."""
    verdict: PromptVerdict
    calibration: MicrophoneCalibration | None = None

    @property
    def highest_dbfs(self) -> float:
        """A-weighted digital level that keeps to the cap."""
        return self.cap_dba - self.full_scale_dba

    @property
    def setting(self) -> PromptSetting:
        """The same as the sound check gave it."""
        return PromptSetting(
            gain_db=self.gain_db,
            equaliser_db=self.equaliser_db,
            sii_before=self.sii_before,
            sii=self.sii,
            level_before_dba=self.level_before_dba,
            level_dba=self.level_dba,
            verdict=self.verdict,
        )


def load_profile(folder: Path) -> PromptProfile | None:
    """Return the saved profile, None where none was saved.

    Raises:
        PromptProfileError: there is one and it is damaged or of another
            version; it is never used in part.
    """
    path = folder / FILE_NAME
    if not path.exists():
        return None
    try:
        return PromptProfile.model_validate_json(path.read_text(encoding="utf-8"))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the whole"
        problem = f"{place}: {first['msg']}"
    except (OSError, UnicodeDecodeError) as error:
        problem = str(error)
    raise PromptProfileError(
        f"{path} is damaged ({problem}): run the sound check again with --save, or "
        "remove it with --reset"
    )


def save_profile(folder: Path, profile: PromptProfile) -> Path:
    """Write the profile as a whole or not at all; return where.

    Raises:
        PromptProfileError: it cannot be written.
    """
    path = folder / FILE_NAME
    partial = path.with_suffix(".part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        text = profile.model_dump_json(by_alias=True, indent=1)
        partial.write_text(text + "\n", encoding="utf-8")
        partial.replace(path)
    except OSError as error:
        raise PromptProfileError(
            f"{path} could not be written ({error.strerror or error}); make room or "
            "check the rights of its folder"
        ) from error
    return path


def remove_profile(folder: Path) -> bool:
    """Remove the saved profile; tell whether there was one.

    Raises:
        PromptProfileError: it cannot be removed.
    """
    path = folder / FILE_NAME
    existed = path.exists()
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise PromptProfileError(
            f"{path} could not be removed ({error.strerror or error}); check the "
            "rights of its folder"
        ) from error
    return existed
