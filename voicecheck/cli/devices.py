"""`voicecheck devices`: is there a microphone, and what does it hear?"""

from __future__ import annotations

import math
from dataclasses import asdict
from json import dumps
from typing import Annotated, Any

import typer

from voicecheck.audio.device_list import Device, Direction
from voicecheck.audio.level import Level, Loudness
from voicecheck.audio.portaudio import load_portaudio
from voicecheck.audio.survey import RECORDED_S, DeviceSurvey, survey_devices
from voicecheck.clock import SystemClock
from voicecheck.errors import DeviceError

__all__ = ["devices", "survey_data", "survey_text"]

_ADVICE = {
    Loudness.SILENT: "silent: nothing was heard. Speak while it listens; look at the "
    "plug, the mute switch and the system's sound settings",
    Loudness.TOO_QUIET: "too quiet: speak up, bring the microphone a finger's width "
    "from the corner of the mouth, or turn it up in the system's sound settings",
    Loudness.GOOD: "good",
    Loudness.CLIPPING: "clipping: it is too loud and gets cut off. Turn the "
    "microphone down in the system's sound settings",
}
_ONLY_ZEROS = (
    "silent: nothing but digital zeros came in. If you spoke, the microphone is "
    "muted, or this program may not use it: look at its switch and the system's "
    "privacy settings"
)


def devices(
    json: Annotated[
        bool, typer.Option("--json", help="Print the same as one JSON object.")
    ] = False,
    input_: Annotated[
        str | None,
        typer.Option(
            "--input", metavar="DEV", help="Microphone: number or part of its name."
        ),
    ] = None,
    output: Annotated[
        str | None,
        typer.Option(
            "--output", metavar="DEV", help="Loudspeaker: number or part of its name."
        ),
    ] = None,
) -> None:
    """List the sound devices and try the microphone for two seconds.

    Shows which microphone and loudspeaker a walk would use, and says whether
    what the microphone hears is silent, too quiet, good or clipping. Speak
    while it listens. The exit status is 1 when there is no usable microphone.

    Example: voicecheck devices --input headset
    """
    try:
        survey = survey_devices(
            load_portaudio(),
            SystemClock(),
            wanted_input=input_,
            wanted_output=output,
            before_recording=_ask_to_speak,
        )
    except DeviceError as error:
        if json:
            typer.echo(dumps({"usable": False, "problems": [str(error)]}))
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from error
    if json:
        typer.echo(dumps(survey_data(survey), ensure_ascii=False))
    else:
        typer.echo(survey_text(survey))
    if not survey.microphone_usable:
        raise typer.Exit(1)


def survey_data(survey: DeviceSurvey) -> dict[str, Any]:
    """Return a survey as JSON data; a level of minus infinity becomes null."""
    level = survey.level
    return {
        "usable": survey.microphone_usable,
        "input": asdict(survey.input) if survey.input else None,
        "output": asdict(survey.output) if survey.output else None,
        "level": None if level is None else _level_data(level),
        "notices": list(survey.notices),
        "problems": list(survey.problems),
        "devices": [asdict(device) for device in survey.devices],
    }


def survey_text(survey: DeviceSurvey) -> str:
    """Return a survey in plain words."""
    lines = ["Sound devices:"]
    lines += [f"  {_device_text(device)}" for device in survey.devices] or ["  none"]
    for direction, device in (
        (Direction.INPUT, survey.input),
        (Direction.OUTPUT, survey.output),
    ):
        name = f"{device.number}: {device.name}, {device.host_api}" if device else "-"
        lines.append(f"{direction.noun.capitalize()} used: {name}")
    if survey.level is not None:
        lines.append(f"Level: {_level_text(survey.level)}")
    lines += [f"Note: {notice}" for notice in survey.notices]
    lines += [f"Problem: {problem}" for problem in survey.problems]
    return "\n".join(lines)


def _ask_to_speak(device: Device) -> None:
    typer.echo(
        f"Listening to {device.name} for {RECORDED_S:g} seconds: "
        "say a few words as loud as at work.",
        err=True,
    )


def _device_text(device: Device) -> str:
    marks = [
        f"default {direction.noun}"
        for direction in Direction
        if device.is_default(direction)
    ]
    text = (
        f"{device.number}: {device.name}, {device.host_api}: "
        f"{device.input_channels} in, {device.output_channels} out, "
        f"{device.rate_hz:.0f} Hz"
    )
    return f"{text} ({', '.join(marks)})" if marks else text


def _level_text(level: Level) -> str:
    if level.only_zeros:
        return _ONLY_ZEROS
    advice = _ADVICE[level.loudness]
    return (
        f"{advice} (loudest part {level.loudest_dbfs:.0f} dBFS, "
        f"peak {level.peak_dbfs:.0f} dBFS)"
    )


def _level_data(level: Level) -> dict[str, Any]:
    return {
        "loudness": level.loudness.value,
        "only_zeros": level.only_zeros,
        "rms_dbfs": _finite(level.rms_dbfs),
        "loudest_dbfs": _finite(level.loudest_dbfs),
        "peak_dbfs": _finite(level.peak_dbfs),
        "clipped_share": level.clipped_share,
        "seconds": RECORDED_S,
    }


def _finite(value: float) -> float | None:
    return round(value, 2) if math.isfinite(value) else None
