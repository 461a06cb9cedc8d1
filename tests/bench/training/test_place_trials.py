"""Moments of recall: what may be said, and what is."""

from __future__ import annotations

import random

from voicecheck.bench.corpus import OTHER
from voicecheck.bench.training.fit_places import figures
from voicecheck.bench.training.place_trials import TALK, PlaceTrial, Recall
from voicecheck.bench.training.stranger_trials import Heard
from voicecheck.speech.fusion import Witnesses, load_fusion
from voicecheck.speech.network.model import NOISE
from voicecheck.speech.network.model import OTHER as OTHER_CLASS
from voicecheck.speech.ports import ActiveSet, Phrase
from voicecheck.testing.small_checklist import small_checklist

PLACES = ActiveSet(
    question="place",
    language="en",
    phrases=(
        Phrase(text="horn", meaning="horn"),
        Phrase(text="left tyre", meaning="left_tyre"),
    ),
)


def trial(said: str, decoded: str) -> PlaceTrial:
    """A trial in which the witnesses agree on what they heard."""
    names = [phrase.text for phrase in PLACES.phrases]
    evidence = Witnesses(
        shares={OTHER_CLASS: 0.98, NOISE: 0.02},
        raw=decoded,
        clean=decoded,
        noisy=False,
        spoken={name: -2.0 if name == decoded else -60.0 for name in names},
        phones=dict.fromkeys(names, 6),
        utterance_s=1.1,
    )
    return PlaceTrial(
        heard=Heard(evidence=evidence, said=said, snr_db=40.0),
        active=PLACES,
        condition="quiet",
        voice="espeak/a",
    )


def test_most_of_what_is_said_may_be_said() -> None:
    """About three in four are names; some are talk, which is no phrase."""
    recall = Recall([small_checklist()], random.Random(1))

    drawn = [recall.draw() for _ in range(300)]

    named = [a.phrase(t) for a, t in drawn if a.phrase(t) and not a.phrase(t).control]
    assert 0.65 < len(named) / len(drawn) < 0.9
    assert any(text in TALK and active.phrase(text) is None for active, text in drawn)
    assert all(active.question == "place" for active, _ in drawn)


def test_the_same_seed_draws_the_same() -> None:
    """A run can be repeated."""
    one = Recall([small_checklist()], random.Random(7))
    other = Recall([small_checklist()], random.Random(7))

    assert [one.draw() for _ in range(20)] == [other.draw() for _ in range(20)]


def test_figures_tell_right_from_wrong_and_names_from_talk() -> None:
    """Two of three names right and taken, one taken for another; talk refused."""
    trials = [
        trial("horn", "horn"),
        trial("left tyre", "left tyre"),
        trial("left tyre", "horn"),
        trial(OTHER, ""),
    ]

    names, talk = figures(load_fusion("fusion-places"), trials)

    assert names.startswith("quiet, 3 names: likeliest right 66.7%")
    assert "accept right 66.7%" in names and "accept wrong 33.3%" in names
    assert talk == "quiet, 1 other speech: reject 100.0%"
