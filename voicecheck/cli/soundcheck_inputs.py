"""What `voicecheck soundcheck` is given: noise, protectors, the parts of a day."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import typer

from voicecheck.audio.device_list import Device
from voicecheck.audio.prompt_profile import MicrophoneCalibration, PromptProfile
from voicecheck.errors import UsageError
from voicecheck.hearing.at_ear import NoiseReading
from voicecheck.hearing.measure import Calibration
from voicecheck.hearing.microphone_noise import (
    RecordedNoise,
    calibrated_octaves,
    recorded_noise,
)
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.protector_text import parse_protector
from voicecheck.hearing.spectrum import OctaveLevels

__all__ = ["MeasuredNoise", "entered_noise", "protector_option", "recorded_level"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredNoise:
    """A noise, where it is from, and what was learned about the microphone."""

    reading: NoiseReading
    notes: tuple[str, ...] = ()
    calibration: MicrophoneCalibration | None = None


def entered_noise(
    dba: float | None, dbc: float | None, octaves: str | None
) -> MeasuredNoise:
    """Take levels that somebody read off a meter.

    Raises:
        UsageError: too little or too much was given.
        LevelError: a level is impossible.
    """
    if octaves is not None:
        if dba is not None or dbc is not None:
            raise UsageError(
                "give either --octaves or --dba: the weighted levels follow from "
                "the octaves"
            )
        return MeasuredNoise(reading=NoiseReading.of_octaves(_octaves(octaves)))
    if dba is None:
        raise UsageError(
            "say how loud it is: --dba 88 (and --dbc 92), --octaves with eight "
            "levels from 63 Hz, or --record 10 --reference 88"
        )
    return MeasuredNoise(reading=NoiseReading(level_dba=dba, level_dbc=dbc))


def recorded_level(
    seconds: float,
    reference_dba: float | None,
    device: str | None,
    saved: PromptProfile | None,
) -> MeasuredNoise:
    """Record the noise and calibrate it.

    Raises:
        UsageError: nothing says what the microphone's level stands for.
        DeviceError: the microphone cannot be used.
        LevelError: the recording is silent, or a level is impossible.
    """
    from voicecheck.audio.noise_recording import record_noise  # noqa: PLC0415
    from voicecheck.audio.portaudio import load_portaudio  # noqa: PLC0415
    from voicecheck.clock import SystemClock  # noqa: PLC0415

    def announce(microphone: Device) -> None:
        typer.echo(
            f"Listening to {microphone.name} for {seconds:g} seconds: be quiet, and "
            "hold it where your ear is.",
            err=True,
        )

    recording = record_noise(
        load_portaudio(),
        SystemClock(),
        seconds,
        wanted=device,
        before_recording=announce,
    )
    noise = recorded_noise(recording.frames, recording.rate_hz)
    calibration = _calibration(noise, recording.device, reference_dba, saved)
    octave = calibrated_octaves(noise, Calibration(calibration.full_scale_db))
    return MeasuredNoise(
        reading=NoiseReading.of_octaves(octave),
        notes=_notes(noise, recording.lost, reference_dba),
        calibration=calibration,
    )


def protector_option(value: str | None) -> Protector | None:
    """Return the protector that an option's text, or the file it names, describes.

    Raises:
        UsageError: the file cannot be read.
        ProtectorDataError: the data are wrong.
    """
    if value is None:
        return None
    try:
        is_file = Path(value).is_file()
    except (OSError, ValueError):  # a text too long or too odd for a file name
        is_file = False
    if not is_file:
        return parse_protector(value)
    try:
        text = Path(value).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{value} cannot be read as text: {error}") from error
    return parse_protector(text)


def _octaves(text: str) -> OctaveLevels:
    words = text.replace(",", " ").split()
    try:
        values = [float(word) for word in words]
    except ValueError as error:
        raise UsageError(
            f"--octaves takes eight levels in dB from 63 Hz to 8 kHz (or seven from "
            f"125 Hz), separated by spaces, not {text!r}"
        ) from error
    return OctaveLevels.of(values)


def _calibration(
    noise: RecordedNoise,
    device: str,
    reference_dba: float | None,
    saved: PromptProfile | None,
) -> MicrophoneCalibration:
    if noise.is_silent:
        raise UsageError(
            f"{device} gave silence: look at its mute switch and run voicecheck devices"
        )
    if reference_dba is not None:
        full_scale_db = reference_dba - noise.octave.a_level_dba
        if not 0 <= full_scale_db <= 220:
            raise UsageError(
                f"--reference {reference_dba:g} does not fit what {device} recorded: "
                "read the meter in dBA at the microphone, in the same noise"
            )
        return MicrophoneCalibration(device=device, full_scale_db=full_scale_db)
    kept = saved.calibration if saved else None
    if kept is None or kept.device != device:
        raise UsageError(
            f"nothing says how loud {device} hears: give --reference with what a "
            "sound level meter shows in dBA at the same time, or enter --dba"
        )
    return kept


def _notes(
    noise: RecordedNoise, lost: int, reference_dba: float | None
) -> tuple[str, ...]:
    notes = []
    if noise.assumed_hz:
        bands = ", ".join(f"{hz:g} Hz" for hz in noise.assumed_hz)
        notes.append(
            f"The microphone's rate does not reach {bands}: taken for as loud as "
            "the octave below."
        )
    if lost:
        notes.append(
            f"Sound was lost {lost} times while recording: close other programs and "
            "record again."
        )
    if reference_dba is None:
        notes.append(
            "The calibration of an earlier sound check was used. It holds only while "
            "the microphone and its gain are as they were."
        )
    return tuple(notes)
