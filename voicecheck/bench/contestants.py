"""The ways of hearing that one run compares, each over the same trials."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.engines import Sphinx
from voicecheck.bench.phrases import ELEVEN
from voicecheck.bench.remembered_activity import RememberedActivity
from voicecheck.bench.trial_plan import Planned
from voicecheck.bench.verdicts import Verdict
from voicecheck.speech.file_listener import FileListener
from voicecheck.speech.fusion import (
    Fusion,
    Witnesses,
    candidate_features,
    load_fusion,
    none_features,
)
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.enrolled import EnrolledHead, fit_head
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.ports import ActiveSet, Hypothesis, Phrase, Recogniser

__all__ = ["Contestant", "EngineName", "Path", "eleven", "make_contestants"]

Examples = Mapping[str, Mapping[str, Sequence[Frames]]]
"""Speaker → phrase → clean examples."""


class EngineName(StrEnum):
    """What can be compared."""

    POCKETSPHINX = "pocketsphinx"
    RNNOISE = "rnnoise"
    """RNNoise before PocketSphinx."""
    NETWORK = "network"
    NETWORK_ENROLLED = "network-enrolled"
    SHIPPED = "shipped"
    """The whole path of a stranger: end-pointing, both witnesses, policy."""
    SHIPPED_ENROLLED = "shipped-enrolled"


class Contestant(Protocol):
    """Hears trials."""

    name: EngineName

    def hear(self, trial: Planned, sound: Frames) -> Verdict | None:
        """Return what was heard; None: it has no profile of this voice."""
        ...


def eleven() -> ActiveSet:
    """Return the eleven phrases with the meanings that the grammars give them."""
    known: dict[str, Phrase] = {}
    for question in ("condition", "severity", "yes_no"):
        for phrase in active_set(question, "en").phrases:
            known.setdefault(phrase.text, phrase)
    return ActiveSet(
        question="bench", language="en", phrases=tuple(known[t] for t in ELEVEN)
    )


@dataclass
class Bare:
    """PocketSphinx on the whole clip; it states no confidence, all is accepted."""

    name: EngineName
    active: ActiveSet
    engine: Sphinx

    def hear(self, trial: Planned, sound: Frames) -> Verdict:
        """Decode the clip as one utterance."""
        guess = self.engine.guess(sound)
        shares = {} if guess.phrase is None else {guess.phrase: guess.confidence}
        return Verdict(hypotheses=best_two(shares, self.active))


@dataclass
class NetworkAlone:
    """The small network on the whole clip, with a last layer of each speaker or not."""

    name: EngineName
    active: ActiveSet
    network: WordNetwork
    examples: Examples | None = None
    """None: a stranger's voice."""
    _heads: dict[str, EnrolledHead] = field(default_factory=dict)

    def hear(self, trial: Planned, sound: Frames) -> Verdict | None:
        """Take the posteriors as confidences."""
        if self.examples is None:
            texts = frozenset(p.text for p in self.active.phrases)
            shares = self.network.posteriors(sound, texts)
            return Verdict(hypotheses=best_two(shares, self.active))
        speaker = profile_for(trial, self.examples)
        if speaker is None:
            return None
        if speaker not in self._heads:
            self._heads[speaker] = fit_head(
                self.network, self.examples[speaker], self.network.background
            )
        shares = self._heads[speaker].posteriors(self.network.embedding(sound))
        return Verdict(hypotheses=best_two(shares, self.active))


@dataclass(frozen=True, slots=True, kw_only=True)
class NotingFusion(Fusion):
    """A fusion that keeps what it was asked, so that another can be fitted."""

    noted: list[Witnesses] = field(default_factory=list)

    @classmethod
    def of(cls, known: Fusion) -> NotingFusion:
        """Return one with the weights of another."""
        return cls(
            candidate=known.candidate, none=known.none, provenance=known.provenance
        )

    def posterior(self, evidence: Witnesses) -> dict[str, float]:
        """Return the posterior, and keep the evidence."""
        self.noted.append(evidence)
        # zero-argument super() does not work in a class with slots
        return Fusion.posterior(self, evidence)


def features_of(evidence: Witnesses) -> dict[str, float]:
    """Return the evidence as plain numbers: of the likeliest phrases and of none."""
    rows = candidate_features(evidence)
    nearest = sorted(rows, key=lambda t: -(rows[t]["network"] + rows[t]["spoken"]))
    found = {f"none.{name}": value for name, value in none_features(evidence).items()}
    for text in nearest[:3]:
        found |= {f"{text}.{name}": value for name, value in rows[text].items()}
    return found


class Path:
    """The whole way of a sound as `voicecheck hear` goes it.

    Voice activity, end-pointing, recogniser; what the end-pointing misses is
    missed. Of several utterances the most confident counts.
    """

    def __init__(
        self,
        name: EngineName,
        active: ActiveSet,
        recogniser: Recogniser,
        activity: RememberedActivity,
        fusion: NotingFusion | None = None,
    ) -> None:
        self.name = name
        self._active = active
        self._inner = recogniser
        self._activity = activity
        self._fusion = fusion
        self._heard: list[Verdict] = []
        self._listener = FileListener(self, activity)

    @property
    def language(self) -> str:
        """Of the recogniser."""
        return self._inner.language

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Recognise one utterance and keep what is known of it."""
        noted = self._fusion.noted if self._fusion else []
        noted.clear()
        found = self._inner.recognise(utterance, active)
        self._heard.append(
            Verdict(
                hypotheses=found,
                utterance_s=len(utterance) / RATE_HZ,
                features=features_of(noted[-1]) if noted else None,
            )
        )
        return found

    def hear(self, trial: Planned, sound: Frames) -> Verdict:
        """Send a trial the whole way."""
        self._heard.clear()
        found = self._listener.hear(sound, self._active)
        counted = next(
            (v for v in self._heard if v.hypotheses is found.hypotheses), None
        )
        return Verdict(
            hypotheses=found.hypotheses,
            utterances=found.utterances,
            utterance_s=counted.utterance_s if counted else None,
            features=counted.features if counted else None,
        )


def best_two(shares: Mapping[str, float], active: ActiveSet) -> tuple[Hypothesis, ...]:
    """Return the two likeliest phrases of a posterior, without OTHER and NOISE."""
    phrases = {w: p for w, p in shares.items() if w not in (OTHER, NOISE)}
    found = []
    for text in sorted(phrases, key=lambda w: -phrases[w])[:2]:
        phrase = active.phrase(text)
        if phrase is not None:
            found.append(
                Hypothesis(
                    phrase=text,
                    meaning=phrase.meaning,
                    confidence=phrases[text],
                    control=phrase.control,
                )
            )
    return tuple(found)


def profile_for(trial: Planned, examples: Examples) -> str | None:
    """Return whose profile hears a trial, or None.

    A speaker's own; what is nobody's voice (coughs, prompts) meets one profile
    after the other.
    """
    if trial.clip.speaker in examples:
        return trial.clip.speaker
    family = trial.clip.voice.split("/")[0]
    if family in ("nonspeech", "prompt") and examples:
        return sorted(examples)[trial.number % len(examples)]
    return None


def make_contestants(
    names: Sequence[EngineName],
    examples: Examples,
    activity: RememberedActivity,
) -> list[Contestant]:
    """Load the engines asked for."""
    active = eleven()
    makers: dict[EngineName, Callable[[], Contestant]] = {
        EngineName.POCKETSPHINX: lambda: Bare(
            EngineName.POCKETSPHINX, active, Sphinx(ELEVEN, denoise=False)
        ),
        EngineName.RNNOISE: lambda: Bare(
            EngineName.RNNOISE, active, Sphinx(ELEVEN, denoise=True)
        ),
        EngineName.NETWORK: lambda: NetworkAlone(
            EngineName.NETWORK, active, WordNetwork.load()
        ),
        EngineName.NETWORK_ENROLLED: lambda: NetworkAlone(
            EngineName.NETWORK_ENROLLED, active, WordNetwork.load(), examples
        ),
        EngineName.SHIPPED: lambda: _shipped(active, activity),
        EngineName.SHIPPED_ENROLLED: lambda: EnrolledPaths(active, examples, activity),
    }
    return [makers[name]() for name in names]


def _shipped(active: ActiveSet, activity: RememberedActivity) -> Path:
    noting = NotingFusion.of(load_fusion())
    recogniser = PairedRecogniser(fusion=noting)
    return Path(EngineName.SHIPPED, active, recogniser, activity, noting)


class EnrolledPaths:
    """The whole path with a profile: one recogniser for each enrolled speaker.

    The profile is fitted as `voicecheck enrol` fits it. It keeps watching whose
    voice it hears, as in a walk: trials before have a part in it.
    """

    name = EngineName.SHIPPED_ENROLLED

    def __init__(
        self, active: ActiveSet, examples: Examples, activity: RememberedActivity
    ) -> None:
        self._active = active
        self._examples = examples
        self._activity = activity
        self._paths: dict[str, Path] = {}
        self._sphinx = PocketSphinxRecogniser()
        self._network = WordNetwork.load()

    def hear(self, trial: Planned, sound: Frames) -> Verdict | None:
        """Send a trial the whole way, with its speaker's profile."""
        speaker = profile_for(trial, self._examples)
        if speaker is None:
            return None
        if speaker not in self._paths:
            self._paths[speaker] = self._fitted(speaker)
        return self._paths[speaker].hear(trial, sound)

    def _fitted(self, speaker: str) -> Path:
        from voicecheck.speech.enrolment.fitting import fit_voice  # noqa: PLC0415
        from voicecheck.speech.enrolment.own_voice import OwnVoice  # noqa: PLC0415
        from voicecheck.speech.enrolment.profile import Example  # noqa: PLC0415

        said = [
            Example(phrase=phrase, frames=frames)
            for phrase, clips in self._examples[speaker].items()
            for frames in clips
        ]
        noting = NotingFusion.of(load_fusion("fusion-enrolled"))
        profile = OwnVoice(
            speaker, fit_voice(self._network, said), self._network, noting
        )
        recogniser = PairedRecogniser(self._sphinx, self._network, profile=profile)
        return Path(self.name, self._active, recogniser, self._activity, noting)
