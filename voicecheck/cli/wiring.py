"""Pick the adapters: the one place where ports meet libraries."""

from __future__ import annotations

import json
from pathlib import Path

from voicecheck import settings
from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.ports import SoundLink
from voicecheck.audio.prompt_profile import load_profile
from voicecheck.audio.shaped_link import shape_link
from voicecheck.dialogue.conversation import Conversation, DialogueSettings
from voicecheck.dialogue.runner import Runner, Watch
from voicecheck.dialogue.wording import Wording
from voicecheck.errors import UsageError
from voicecheck.report.page import render
from voicecheck.round.checklist import Checklist
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Recogniser, Synthesiser
from voicecheck.speech.prompt_voices import prompt_voices
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.store.session import WalkSession


def synthesiser() -> Pyttsx3Synthesiser:
    """Return the synthesiser, with its cache and the rate of the sound check."""
    profile = load_profile(settings.home())
    rate = profile.words_a_minute if profile else None
    return Pyttsx3Synthesiser(settings.home() / "spoken", prompt_voices(rate))


def shaped(link: SoundLink) -> SoundLink:
    """Play with the gain and equaliser that the sound check saved, or the usual."""
    return shape_link(link, load_profile(settings.home()))


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
) -> Runner:
    """Put a spoken walk together on any sound link."""
    return Runner(
        Conversation(session, Wording(checklist, language), settings_),
        link,
        Listener(link, recogniser, Endpointer(SileroActivity())),
        speaker,
        watch,
        session.keep_clip,
    )


def write_page(record: Path) -> Path:
    """Write the HTML page of a record beside it; return where."""
    document = json.loads(record.read_text(encoding="utf-8"))
    page = record.with_suffix(".html")
    page.write_text(render(document, local_time=True), encoding="utf-8")
    return page
