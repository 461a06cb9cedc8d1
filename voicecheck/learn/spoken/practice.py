"""Play a session of practice on a sound link, to its end."""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.ports import SoundLink
from voicecheck.dialogue.noise_turns import NoiseTurns
from voicecheck.dialogue.runner import Runner, Watch
from voicecheck.learn.sessions.ports import Session
from voicecheck.learn.spoken.conversation import PracticeTalk
from voicecheck.learn.spoken.hearing import knows_words
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.learn.spoken.talk import Keep, PracticeSettings
from voicecheck.round.checklist import Checklist
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Recogniser, Synthesiser

__all__ = ["practice_talk", "practise"]


def practice_talk(
    session: Session,
    checklist: Checklist,
    recogniser: Recogniser,
    keep: Keep,
    settings: PracticeSettings | None = None,
) -> PracticeTalk:
    """Return the conversation of a session.

    Args:
        session: what is practised.
        checklist: in the language of the learner.
        recogniser: tells which words it knows.
        keep: keeps events, durably, before anything else is said.
        settings: None: the usual patience.
    """
    names = PlaceNames(checklist, knows_words(recogniser))
    return PracticeTalk(session, checklist, names, keep, settings)


def practise(
    talk: PracticeTalk,
    link: SoundLink,
    recogniser: Recogniser,
    synthesiser: Synthesiser,
    watch: Watch = lambda _kind, _data: None,
    *,
    noise: NoiseWatch | None = None,
    adapt: Callable[[bool], object] = lambda _: None,
) -> Session:
    """Talk until the session is over, and return it.

    Args:
        talk: made by `practice_talk`.
        link: where to play and listen; a lost device waits until it is back.
        recogniser: made by `hearing.for_practice`.
        synthesiser: speaks.
        watch: told everything that happens, as it happens.
        noise: None: an uncalibrated one. Levels are not kept of practice.
        adapt: told whether prompts are to be slower and louder.

    Raises:
        GrammarError: a place cannot be said.
    """
    noise = noise or NoiseWatch()
    listener = Listener(link, recogniser, Endpointer(SileroActivity()), noise)

    Runner(
        talk,
        link,
        listener,
        synthesiser,
        watch,
        keep_clip=lambda _: "",
        noise=NoiseTurns(noise, lambda _: None, adapt),
    ).run()
    return talk.session
