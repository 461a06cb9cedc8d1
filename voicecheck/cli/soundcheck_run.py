"""Carry out one sound check: take the inputs, compute, print, keep."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import typer

from voicecheck import hearing, settings
from voicecheck.audio.prompt_profile import (
    MicrophoneCalibration,
    PromptProfile,
    PromptProfileError,
    load_profile,
    remove_profile,
    save_profile,
)
from voicecheck.checklists.loader import load
from voicecheck.cli import soundcheck_report
from voicecheck.cli.json_text import json_text
from voicecheck.cli.soundcheck_inputs import (
    MeasuredNoise,
    entered_noise,
    protector_option,
    recorded_level,
)
from voicecheck.cli.soundcheck_played import Played, play_through
from voicecheck.clock import SystemClock, utc_text
from voicecheck.errors import UsageError
from voicecheck.hearing.exposure_text import parse_exposure
from voicecheck.hearing.prompt_level import PromptLimits, PromptVerdict
from voicecheck.hearing.soundcheck import (
    DEFAULT_PROMPT_DBA,
    PromptPath,
    SoundcheckReport,
)
from voicecheck.speech.prompt_sample import PromptSample, choose_evenly, speak_sample
from voicecheck.speech.prompt_voices import USUAL_RATE
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

__all__ = ["SLOW_RATE", "Request", "kept", "run"]

CHECKLIST = "wheel-loader"

SLOW_RATE = 140
"""Words a minute where prompts cannot be made clear: slower is easier to follow
(common practice, no source)."""

REACH_DB = 8.0
"""Most that any octave is raised: the prompts' peaks lie 3 to 5 dB below full scale,
and the limiter may hold them back by 6 dB (measured on the English prompts)."""

MOST_TRIES = 3

LOUDER_DB = 40.0
"""Reach tried to find out whether a louder headset would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What the command line asked for."""

    dba: float | None
    dbc: float | None
    octaves: str | None
    record_s: float | None
    reference_dba: float | None
    input_device: str | None
    protector: str | None
    second_protector: str | None
    path: PromptPath
    prompt_dba: float | None
    exposures: tuple[str, ...]
    language: str
    save: bool
    as_json: bool


def run(request: Request) -> int:
    """Check, print, and keep where asked; return the exit status.

    Raises:
        VoicecheckError: an input is wrong, or a device or voice is missing.
    """
    worn = protector_option(request.protector)
    second = protector_option(request.second_protector)
    if second is not None and worn is None:
        raise UsageError("--second-protector goes with --protector")
    exposures = [parse_exposure(text) for text in request.exposures]
    noise = _noise(request)
    sample = _sample(request.language)
    level_dba = _prompt_dba(request)

    def check(limits: PromptLimits) -> SoundcheckReport:
        return hearing.soundcheck(
            noise.reading,
            protector=worn,
            second_protector=second,
            prompt=sample.at(level_dba),
            prompt_path=request.path,
            limits=limits,
            exposures=exposures,
        )

    report, played = _settle(
        check,
        lambda report: play_through(report, sample, level_dba, worn),
        _limits(sample),
    )
    notes = (*noise.notes, *_level_notes(request, report, played, check))
    # kept before anything is printed: whoever reads along may stop early
    place = _save(report, played, noise, sample) if request.save else None
    _print(request, report, played, notes)
    if request.save:
        _tell_kept(place)
    return 0 if soundcheck_report.passes(report, played) else 1


def kept(*, reset: bool, as_json: bool) -> None:
    """Show what is kept, or forget it.

    Raises:
        PromptProfileError: the file is damaged or cannot be removed.
    """
    if reset:
        existed = remove_profile(settings.home())
        words = "Forgotten: prompts are played in the usual way."
        text = words if existed else "Nothing was kept."
        typer.echo(json_text({"removed": existed}) if as_json else text)
        return
    profile = load_profile(settings.home())
    if as_json:
        data = profile.model_dump(mode="json", by_alias=True) if profile else None
        typer.echo(json_text(data))
        return
    for line in soundcheck_report.profile_lines(profile):
        typer.echo(line)


def _noise(request: Request) -> MeasuredNoise:
    if request.record_s is None:
        if request.reference_dba is not None:
            raise UsageError("--reference goes with --record; to enter a level: --dba")
        return entered_noise(request.dba, request.dbc, request.octaves)
    if any(level is not None for level in (request.dba, request.dbc, request.octaves)):
        raise UsageError("give either --record or levels, not both")
    return recorded_level(
        request.record_s,
        request.reference_dba,
        request.input_device,
        load_profile(settings.home()),
    )


def _sample(language: str) -> PromptSample:
    checklist = load(CHECKLIST, language)
    texts = choose_evenly([point.prompt for point in checklist.checkpoints])
    # the same as a walk's, without loading the dialogue
    with Pyttsx3Synthesiser(settings.home() / "spoken") as synthesiser:
        return speak_sample(synthesiser, texts, language)


def _prompt_dba(request: Request) -> float:
    level = request.prompt_dba
    if level is None:
        return DEFAULT_PROMPT_DBA
    if not 30 <= level <= 110:
        raise UsageError(f"--prompt-dba takes 30 to 110 dBA, not {level:g}")
    return level


def _limits(sample: PromptSample) -> PromptLimits:
    """The loudest single prompt keeps to the safe level, not only their mean."""
    cap_dba = PromptLimits().cap_dba - max(0.0, sample.spread_db)
    return PromptLimits(cap_dba=cap_dba, max_gain_db=REACH_DB)


def _settle(
    check: Callable[[PromptLimits], SoundcheckReport],
    play: Callable[[SoundcheckReport], Played | None],
    limits: PromptLimits,
) -> tuple[SoundcheckReport, Played | None]:
    """Aim higher by what filter slopes and limiter take, until prompts are clear.

    What was measured has the last word on whether they are.
    """
    report = check(limits)
    played = play(report)
    for _ in range(MOST_TRIES):
        if played is None or soundcheck_report.is_clear(played.sii):
            break
        if report.prompt is None or report.prompt.verdict is not PromptVerdict.REACHED:
            break
        missing = limits.target_sii - played.sii
        aim = min(1.0, report.limits.target_sii + missing)
        report = check(replace(limits, target_sii=aim))
        played = play(report)
    if report.prompt and played and soundcheck_report.is_clear(played.sii):
        clear = replace(report.prompt, verdict=PromptVerdict.REACHED)
        report = replace(report, prompt=clear)
    return report, played


def _level_notes(
    request: Request,
    report: SoundcheckReport,
    played: Played | None,
    check: Callable[[PromptLimits], SoundcheckReport],
) -> tuple[str, ...]:
    """Say what was taken for granted, and whether a louder headset would do."""
    notes = []
    if request.prompt_dba is None:
        notes.append(
            "The loudness of your headset was not given: prompts were taken to make "
            f"{DEFAULT_PROMPT_DBA:g} dBA at the ear now (--prompt-dba)."
        )
    setting = report.prompt
    if setting and played and setting.verdict is PromptVerdict.GAIN_LIMIT:
        louder = check(replace(report.limits, max_gain_db=LOUDER_DB)).prompt
        if louder is not None and louder.verdict is PromptVerdict.REACHED:
            more_db = max(1, math.ceil(louder.level_dba - played.level_dba))
            notes.append(
                f"Prompts turned up further would clip. Turn the headset itself up by "
                f"{more_db} dB, measure how loud they are then, and check again with "
                "--prompt-dba."
            )
    return tuple(notes)


def _print(
    request: Request,
    report: SoundcheckReport,
    played: Played | None,
    notes: tuple[str, ...],
) -> None:
    if request.as_json:
        typer.echo(json_text(soundcheck_report.to_data(report, played, notes)))
        return
    for line in soundcheck_report.text_lines(report, played, notes):
        typer.echo(line)


def _save(
    report: SoundcheckReport,
    played: Played | None,
    noise: MeasuredNoise,
    sample: PromptSample,
) -> Path | None:
    """Keep the setting; None where there is none to keep."""
    setting = report.prompt
    if setting is None or played is None:
        return None
    reached = setting.verdict is PromptVerdict.REACHED
    profile = PromptProfile(
        saved_utc=utc_text(SystemClock().now()),
        noise_dba=report.noise.level_dba,
        gain_db=setting.gain_db,
        equaliser_db=setting.equaliser_db,
        words_a_minute=USUAL_RATE if reached else min(SLOW_RATE, USUAL_RATE),
        sii_before=setting.sii_before,
        sii=played.sii,
        level_before_dba=setting.level_before_dba,
        level_dba=played.level_dba,
        full_scale_dba=setting.level_before_dba - sample.octave.a_level_dba,
        cap_dba=PromptLimits().cap_dba,
        verdict=setting.verdict,
        calibration=noise.calibration or _kept_calibration(),
    )
    return save_profile(settings.home(), profile)


def _tell_kept(place: Path | None) -> None:
    if place is None:
        raise UsageError(
            "nothing was kept: the noise at the ear is unknown; give the figures that "
            "the protector's method needs"
        )
    typer.echo(f"Kept in {place}; walks play their prompts so.", err=True)


def _kept_calibration() -> MicrophoneCalibration | None:
    """A microphone stays calibrated when levels are entered by hand."""
    try:
        profile = load_profile(settings.home())
    except PromptProfileError:
        return None  # the damaged file is being replaced
    return profile.calibration if profile else None
