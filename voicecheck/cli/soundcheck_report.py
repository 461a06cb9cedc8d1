"""A sound check as text and as JSON data."""

from __future__ import annotations

import math
from dataclasses import asdict
from enum import Enum
from typing import Any

from voicecheck.audio.prompt_profile import PromptProfile
from voicecheck.cli.soundcheck_played import Played
from voicecheck.hearing.prompt_level import PromptLimits, PromptVerdict
from voicecheck.hearing.protection import ProtectionVerdict
from voicecheck.hearing.soundcheck import SoundcheckReport
from voicecheck.hearing.soundcheck_text import CAUTIONS, report_lines

__all__ = ["is_clear", "passes", "profile_lines", "text_lines", "to_data"]

UNPROTECTED_LIMIT_DBA = 85.0
SII_METHOD = "speech intelligibility index, ANSI S3.5-1997, octave band procedure"


def passes(report: SoundcheckReport, played: Played | None) -> bool:
    """Tell whether prompts reach the target and protection is not too little.

    Protection that is not known counts as too little, and so do bare ears from
    85 dBA on.
    """
    return _prompts_pass(report, played) and _protection_passes(report)


def is_clear(sii: float) -> bool:
    """Tell whether an index reaches the target, to the hundredth that is shown."""
    return round(sii, 2) >= PromptLimits().target_sii


def text_lines(
    report: SoundcheckReport, played: Played | None, notes: tuple[str, ...]
) -> list[str]:
    """Return verdict, figures, notes, and cautions last."""
    lines = [_verdict(report, played)]
    figures = report_lines(report)
    lines += [line for line in figures if line not in CAUTIONS]
    lines += _played_lines(played)
    lines += [*notes, *CAUTIONS]
    return lines


def to_data(
    report: SoundcheckReport, played: Played | None, notes: tuple[str, ...]
) -> dict[str, Any]:
    """Return everything as JSON data; infinities become null."""
    data = _plain(asdict(report))
    data["passes"] = passes(report, played)
    data["played"] = None if played is None else _plain(asdict(played))
    data["method"] = SII_METHOD
    data["notes"] = list(notes)
    data["cautions"] = list(CAUTIONS)
    return dict(data)


def profile_lines(profile: PromptProfile | None) -> list[str]:
    """Return a saved profile in words."""
    if profile is None:
        return ["No sound check is saved: prompts are played as they are."]
    bands = ", ".join(f"{change:+.1f}" for change in profile.equaliser_db)
    lines = [
        f"Saved {profile.saved_utc}, for a noise of {profile.noise_dba:.1f} dBA.",
        f"Prompts: gain {profile.gain_db:+.1f} dB, {profile.words_a_minute} words a "
        "minute.",
        f"Equaliser on top, 250 Hz to 8 kHz, dB: {bands}.",
        f"Then {100 * profile.sii:.0f} of 100 parts of the speech can be heard, "
        f"{profile.level_dba:.0f} dBA at the ear: {profile.verdict}.",
    ]
    if profile.calibration is not None:
        lines.append(f"Calibrated microphone: {profile.calibration.device}.")
    return lines


def _prompts_pass(report: SoundcheckReport, played: Played | None) -> bool:
    if report.prompt is None:
        return False
    return is_clear(report.prompt.sii if played is None else played.sii)


def _protection_passes(report: SoundcheckReport) -> bool:
    if report.protection is None:
        return report.noise.level_dba < UNPROTECTED_LIMIT_DBA
    verdict = report.protection.verdict
    return verdict is not None and verdict is not ProtectionVerdict.TOO_LITTLE


def _verdict(report: SoundcheckReport, played: Played | None) -> str:
    return f"Verdict: {_protection_words(report)}; {_prompt_words(report, played)}."


def _protection_words(report: SoundcheckReport) -> str:
    if report.protection is None:
        loud = report.noise.level_dba >= UNPROTECTED_LIMIT_DBA
        return "NO protector named in this noise" if loud else "no protector named"
    verdict = report.protection.verdict
    if verdict is None:
        return "protection UNKNOWN, take it for too little"
    bad = verdict in (ProtectionVerdict.TOO_LITTLE, ProtectionVerdict.TOO_MUCH)
    return verdict.value.upper() if bad else verdict.value


def _prompt_words(report: SoundcheckReport, played: Played | None) -> str:
    if report.prompt is None:
        return "prompts UNKNOWN"
    if _prompts_pass(report, played):
        return "prompts can be understood"
    if report.prompt.verdict is PromptVerdict.REACHED:
        return "prompts NOT quite clear as they are played"
    return f"prompts NOT clear: {report.prompt.verdict}"


def _played_lines(played: Played | None) -> list[str]:
    if played is None:
        return []
    return [
        f"Measured on {played.prompts} spoken prompts as they will be played: index "
        f"{played.sii:.2f}, {played.level_dba:.0f} dBA at the ear ({SII_METHOD})."
    ]


def _plain(value: Any) -> Any:
    """Turn enums into their values, tuples into lists, infinities into null."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
