"""Put together what the witnesses of the fusion say about one utterance."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.errors import GrammarError
from voicecheck.speech.fusion import Witnesses
from voicecheck.speech.network.model import Impression, WordNetwork
from voicecheck.speech.network.phones import free_score, path_scores
from voicecheck.speech.pocketsphinx_recogniser import Decodes
from voicecheck.speech.ports import ActiveSet
from voicecheck.speech.vocabulary.pronunciation import Phones, pronounce

__all__ = ["pronunciations", "spoken_fit", "witnesses"]


@lru_cache(maxsize=256)
def pronunciations(active: ActiveSet) -> Mapping[str, tuple[Phones, ...]]:
    """Return how each phrase of a set may be spoken; () where nobody knows."""
    found: dict[str, tuple[Phones, ...]] = {}
    for phrase in active.phrases:
        try:
            found[phrase.text] = pronounce(phrase.text, active.language)
        except GrammarError:
            found[phrase.text] = ()
    return found


def spoken_fit(impression: Impression, active: ActiveSet) -> dict[str, float]:
    """Return how far each phrase lies behind the best path of phones, in nats.

    Of several pronunciations the best counts; a phrase without one fits worst.
    """
    ways = [(t, way) for t, all_ in pronunciations(active).items() for way in all_]
    found = dict.fromkeys((p.text for p in active.phrases), -1e9)
    if not ways:
        return found
    free = free_score(impression.log_phones)
    scores = path_scores(impression.log_phones, [way for _, way in ways])
    for (text, _), score in zip(ways, scores.tolist(), strict=True):
        found[text] = max(found[text], score - free)
    return found


def witnesses(
    network: WordNetwork,
    impression: Impression,
    decodes: Decodes,
    utterance: Frames,
    active: ActiveSet,
) -> Witnesses:
    """Gather the evidence.

    Args:
        network: whose last layer is asked.
        impression: what its body makes of the utterance.
        decodes: of the grammar engine.
        utterance: the sound.
        active: the phrases that may be said.
    """
    texts = frozenset(p.text for p in active.phrases)
    return Witnesses(
        shares=network.shares(impression.pooled, texts & frozenset(network.phrases)),
        raw=decodes.raw.words,
        clean=decodes.clean.words,
        noisy=decodes.noisy,
        spoken=spoken_fit(impression, active),
        phones={
            text: min((len(way) for way in ways), default=1)
            for text, ways in pronunciations(active).items()
        },
        utterance_s=len(utterance) / RATE_HZ,
    )
