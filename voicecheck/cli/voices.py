"""Use an operator's voice profile in a command, and say so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from voicecheck.cli.enrol_hint import EnrolHint
from voicecheck.errors import ProfileError
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.audio.ports import SoundLink
    from voicecheck.dialogue.runner import Watch
    from voicecheck.speech.enrolment.acquaintance import Acquaintance
    from voicecheck.speech.enrolment.learning import WalkLearner
    from voicecheck.speech.enrolment.own_voice import OwnVoice
    from voicecheck.speech.enrolment.profile_store import ProfileStore, StoredProfile
    from voicecheck.speech.network.model import WordNetwork
    from voicecheck.speech.paired_recogniser import PairedRecogniser
    from voicecheck.speech.ports import Recogniser, Synthesiser

Tell = Callable[[str], None]


def store() -> ProfileStore:
    """Return where voices are kept on this computer."""
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.speech.enrolment.profile_store import ProfileStore  # noqa: PLC0415

    return ProfileStore(settings.home(), SystemClock())


def mismatch_text(operator: str) -> str:
    """What is said when another voice speaks."""
    return f"This does not sound like {operator}. The voice profile is not used."


@dataclass(slots=True)
class Hearing:
    """A recogniser, with the profile of the operator where there is one."""

    recogniser: Recogniser
    voice: OwnVoice | None = None
    stored: StoredProfile | None = None
    network: WordNetwork | None = None
    learner: WalkLearner | None = None
    hint: EnrolHint | None = None
    """Where a profile would help and there is none."""
    acquaintance: Acquaintance | None = None
    """Where there is no profile: what gets used to the voice, for this walk."""

    def watched(
        self, watch: Watch, link: SoundLink | None, speaker: Synthesiser | None
    ) -> Watch:
        """Return a watch that also follows whose voice it is, and learns."""
        voice = self.voice

        def follow(kind: str, data: Mapping[str, Any]) -> None:
            watch(kind, data)
            for other in (self.learner, self.hint, self.acquaintance):
                if other is not None:
                    other.watch(kind, data)
            if kind == "heard" and voice is not None and voice.mismatch_news():
                text = mismatch_text(voice.operator)
                watch("voice_mismatch", {"operator": voice.operator, "text": text})
                if link is not None and speaker is not None:
                    link.play(speaker.speak(text, "en"))

        return follow

    def learn(self, tell: Tell) -> None:
        """Let the confirmed words of a walk that is over join the profile.

        The walk is recorded by now: what goes wrong here is told, no more. Where
        there is no profile, tell whether one would help.
        """
        if self.hint is not None and (text := self.hint.text()) is not None:
            tell(text)
        try:
            self._learn(tell)
        except ProfileError as error:
            tell(f"The voice profile stays as it was: {error}")

    def _learn(self, tell: Tell) -> None:
        from voicecheck.speech.enrolment.adaptation import (  # noqa: PLC0415
            with_learned,
        )
        from voicecheck.speech.enrolment.fitting import fit_voice  # noqa: PLC0415
        from voicecheck.speech.enrolment.network_view import (  # noqa: PLC0415
            fingerprint,
        )
        from voicecheck.speech.enrolment.profile import VersionKind  # noqa: PLC0415

        if self.learner is None or self.stored is None or self.network is None:
            return
        learned = self.learner.examples()
        if not learned:
            return
        operator = self.stored.operator
        examples = with_learned(self.stored.examples, learned)
        about = store().save(
            operator,
            examples,
            fit_voice(self.network, examples),
            kind=VersionKind.WALK,
            language=self.stored.about.language,
            network=fingerprint(self.network),
        )
        tell(
            f"{len(learned)} confirmed words joined the voice of {operator} (version "
            f"{about.version}). Undo: voicecheck enrol --operator {operator!r} "
            f"--back {self.stored.about.version}"
        )


def hearing(
    language: str,
    engine: Engine | None,
    operator: str,
    tell: Tell,
    *,
    learn: bool = False,
    hint: bool = False,
    at_once: bool = False,
) -> Hearing:
    """Return the recogniser for an operator; with their voice where it is enrolled.

    Args:
        language: of the words.
        engine: the one that was asked for.
        operator: whose voice it is; empty: nobody's.
        tell: told whose voice is used.
        learn: let confirmed words join the voice; get used to a voice that is not
            enrolled.
        hint: tell in the end whether enrolling would help.
        at_once: learn while the walk waits, as a simulation needs it.

    Raises:
        ModelError: the engine has no model for the language.
        ProfileError: the profile is damaged.
        UsageError: the id is none.
    """
    from voicecheck.speech.engines import make_recogniser  # noqa: PLC0415
    from voicecheck.speech.paired_recogniser import PairedRecogniser  # noqa: PLC0415
    from voicecheck.store.names import operator_id  # noqa: PLC0415

    recogniser = make_recogniser(language, engine)
    name = operator_id(operator)
    if not name or not store().has(name):
        if not isinstance(recogniser, PairedRecogniser):
            return Hearing(recogniser)
        found = _stranger(recogniser, at_once) if learn else Hearing(recogniser)
        found.hint = EnrolHint(name) if hint else None
        return found
    if not isinstance(recogniser, PairedRecogniser):
        tell(f"The voice of {name} is not used: {recogniser.name} takes none.")
        return Hearing(recogniser)
    return _with_voice(recogniser, name, tell, learn)


def _stranger(recogniser: PairedRecogniser, at_once: bool) -> Hearing:
    from voicecheck.speech.enrolment.acquaintance import Acquaintance  # noqa: PLC0415

    used = Acquaintance(recogniser, at_once=at_once)
    return Hearing(used.recogniser, acquaintance=used)


def _with_voice(
    recogniser: PairedRecogniser, name: str, tell: Tell, learn: bool
) -> Hearing:
    from voicecheck.clock import SystemClock, utc_text  # noqa: PLC0415
    from voicecheck.speech.enrolment.learning import (  # noqa: PLC0415
        LearningRecogniser,
        WalkLearner,
    )
    from voicecheck.speech.enrolment.opening import open_voice  # noqa: PLC0415
    from voicecheck.speech.enrolment.own_voice import OwnVoice  # noqa: PLC0415

    network = recogniser.network
    stored = open_voice(store(), name, network, tell)
    voice = OwnVoice(name, stored.voice, network)
    paired = recogniser.with_profile(voice)
    about = stored.about
    tell(
        f"Using the voice of {name}: version {about.version}, "
        f"{len(about.phrases)} words."
    )
    if not (learn and stored.learn):
        return Hearing(paired, voice, stored, network)
    remembering = LearningRecogniser(paired, paired.agreed_on)
    learner = WalkLearner(
        remembering,
        voice.phrases,
        lambda: voice.in_use,
        lambda: utc_text(SystemClock().now()),
    )
    return Hearing(remembering, voice, stored, network, learner)
