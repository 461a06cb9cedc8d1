"""Pick the adapters: the one place where ports meet libraries."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import cast

from voicecheck import settings
from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.louder_link import LouderLink
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.ports import InterruptibleLink, SoundLink
from voicecheck.audio.prompt_profile import load_profile
from voicecheck.audio.shaped_link import shape_link
from voicecheck.cli.barge_in_mode import BargeInMode
from voicecheck.defects.wording import HoldWording
from voicecheck.dialogue.conversation import Conversation, DialogueSettings
from voicecheck.dialogue.noise_turns import NoiseTurns
from voicecheck.dialogue.runner import Runner, Watch
from voicecheck.dialogue.spoken_yes import SpokenYes
from voicecheck.dialogue.wording import Wording
from voicecheck.errors import UsageError
from voicecheck.report.page import render
from voicecheck.round.checklist import Checklist
from voicecheck.speech.barge_in import BargeIn
from voicecheck.speech.listener import Listener
from voicecheck.speech.paced_synthesiser import PacedSynthesiser
from voicecheck.speech.ports import Recogniser, Synthesiser
from voicecheck.speech.prompt_voices import prompt_voices
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.store.session import WalkSession


def synthesiser() -> Pyttsx3Synthesiser:
    """Return the synthesiser, with its cache and the rate of the sound check."""
    profile = load_profile(settings.home())
    rate = profile.words_a_minute if profile else None
    return Pyttsx3Synthesiser(settings.home() / "spoken", prompt_voices(rate))


def paced(speaker: Pyttsx3Synthesiser) -> PacedSynthesiser:
    """Let prompts be slower in noise than the rate of the sound check."""
    profile = load_profile(settings.home())
    rate = profile.words_a_minute if profile else None
    return PacedSynthesiser(speaker, prompt_voices(rate))


def shaped(link: SoundLink) -> SoundLink:
    """Play with the gain and equaliser that the sound check saved, or the usual."""
    return shape_link(link, load_profile(settings.home()))


def check_barge_in(mode: BargeInMode) -> None:
    """Refuse what is not shown to work.

    Raises:
        UsageError: on a loudspeaker.
    """
    if mode is BargeInMode.LOUDSPEAKER:
        raise UsageError(
            "--barge-in loudspeaker is refused: it is not shown that this program "
            "can keep its own prompt apart from your answer on a loudspeaker. Wear a "
            "headset and give --barge-in headset, or wait for the tone"
        )


def louder(link: InterruptibleLink) -> LouderLink:
    """Let prompts be turned up in noise, as far as the sound check allows."""
    profile = load_profile(settings.home())
    return LouderLink(link, profile.highest_dbfs if profile else None)


def _noise_turns(
    watch: NoiseWatch, session: WalkSession, adapt: Callable[[bool], object]
) -> NoiseTurns:
    profile = load_profile(settings.home())
    known = profile.calibration if profile else None
    return NoiseTurns(
        watch, session.keep_noise, adapt, device=known.device if known else ""
    )


def noise_watch(microphone: str | None) -> NoiseWatch:
    """Watch with the calibration of the sound check, if it is of this microphone."""
    profile = load_profile(settings.home())
    known = profile.calibration if profile else None
    if known is None or microphone is None or known.device != microphone:
        return NoiseWatch()
    return NoiseWatch(known.full_scale_db)


def confirms_always(policy: str) -> bool:
    """Read the value of `--confirm`.

    Raises:
        UsageError: it is neither of the two.
    """
    if policy not in ("findings", "always"):
        raise UsageError(f"--confirm takes findings or always, not {policy!r}")
    return policy == "always"


def runner(
    session: WalkSession,
    checklist: Checklist,
    language: str,
    settings_: DialogueSettings,
    link: SoundLink,
    recogniser: Recogniser,
    speaker: Synthesiser,
    watch: Watch,
    *,
    noise: NoiseWatch | None = None,
    adapt: Callable[[bool], object] = lambda _: None,
    barge_in: bool = False,
) -> Runner:
    """Put a spoken walk together on any sound link.

    Args:
        noise: made by `noise_watch`.
        adapt: told whether prompts are to be slower and louder.
        barge_in: answers may come over prompts; the link must be able to play
            and listen at once.
    """
    noise = noise or NoiseWatch()
    listener = Listener(link, recogniser, Endpointer(SileroActivity()), noise)
    over = BargeIn(cast(InterruptibleLink, link), listener) if barge_in else None
    return Runner(
        Conversation(session, Wording(checklist, language), settings_),
        link,
        listener,
        speaker,
        watch,
        session.keep_clip,
        _noise_turns(noise, session, adapt),
        over,
    )


def spoken_yes(
    link: SoundLink,
    recogniser: Recogniser,
    speaker: Synthesiser,
    language: str,
    tell: Callable[[str], object],
) -> SpokenYes:
    """Put together what asks a question aloud before a walk begins."""
    return SpokenYes(
        link,
        Listener(link, recogniser, Endpointer(SileroActivity())),
        speaker,
        language,
        again=HoldWording(language).say("ask_again"),
        tell=tell,
    )


def marks_listener(link: SoundLink, recogniser: Recogniser) -> Listener:
    """Return what hears an assessor's marks on a link."""
    return Listener(link, recogniser, Endpointer(SileroActivity()), NoiseWatch())


def write_page(record: Path) -> Path:
    """Write the HTML page of a record beside it; return where."""
    document = json.loads(record.read_text(encoding="utf-8"))
    page = record.with_suffix(".html")
    page.write_text(render(document, local_time=True), encoding="utf-8")
    return page
