"""The ways of hearing that are compared."""

from __future__ import annotations

import numpy as np

from voicecheck.bench.contestants import (
    EngineName,
    NotingFusion,
    Path,
    best_two,
    eleven,
    features_of,
    profile_for,
)
from voicecheck.bench.foreign import nonspeech_clips
from voicecheck.bench.phrases import ELEVEN
from voicecheck.bench.remembered_activity import RememberedActivity
from voicecheck.bench.trial_plan import plan
from voicecheck.bench.trials import CONDITIONS
from voicecheck.speech.fusion import Witnesses, load_fusion
from voicecheck.speech.network.model import NOISE, OTHER
from voicecheck.testing.scripted_hearing import Deaf, Loud, tiny_corpus


def test_the_eleven_mean_what_the_grammars_say() -> None:
    """The policy's costs hang on the meanings."""
    meanings = {phrase.text: phrase.meaning for phrase in eleven().phrases}

    assert tuple(meanings) == ELEVEN
    assert (meanings["leak"], meanings["no"], meanings["skip"]) == (
        "leak",
        "no",
        "skip",
    )
    assert eleven().phrases[-1].control


def test_noise_and_other_speech_are_no_phrases() -> None:
    """The two likeliest phrases are left, the likeliest first."""
    shares = {OTHER: 0.5, NOISE: 0.2, "leak": 0.1, "good": 0.15, "yes": 0.05}

    found = best_two(shares, eleven())

    assert [(h.phrase, h.confidence) for h in found] == [("good", 0.15), ("leak", 0.1)]


def test_noting_changes_no_confidence() -> None:
    """The fusion with notes answers like the fusion, and keeps what it was asked."""
    known = load_fusion()
    evidence = Witnesses(
        shares={"good": 0.7, OTHER: 0.2, NOISE: 0.1},
        raw="good",
        clean="",
        noisy=True,
        spoken={"good": -2.0, "leak": -9.0},
        phones={"good": 3, "leak": 3},
        utterance_s=0.9,
    )
    noting = NotingFusion.of(known)

    assert noting.posterior(evidence) == known.posterior(evidence)
    assert noting.noted == [evidence]
    assert features_of(evidence)["good.raw_noisy"] == 1.0


def test_the_path_misses_what_the_end_pointing_misses() -> None:
    """A loud word reaches the recogniser; where none is found it is not asked."""
    (trial,) = plan(tiny_corpus(), CONDITIONS[:1], trials=1, foreign=0, seed=1)
    recogniser = Deaf()
    path = Path(EngineName.SHIPPED, eleven(), recogniser, RememberedActivity(Loud()))

    heard = path.hear(trial, trial.clip.frames)
    silent = path.hear(trial, np.zeros(16_000, np.float32))

    assert heard.hypotheses[0].phrase == "good"
    assert (heard.utterances, silent.utterances) == (1, 0)
    assert heard.utterance_s is not None
    assert silent.hypotheses == ()
    assert recogniser.heard == 1


def test_profiles_hear_their_own_voice_and_nobodys_sounds() -> None:
    """Another speaker's trial is left out; a cough meets some profile."""
    clips = [*tiny_corpus(), *nonspeech_clips(2, 1)]
    trials = list(plan(clips, CONDITIONS[:1], trials=2, foreign=4, seed=1))
    own = {"piper/w": {"good": [clips[0].frames]}}
    strange = {"piper/x": {"good": [clips[0].frames]}}

    assert {profile_for(t, own) for t in trials} == {"piper/w"}
    assert {profile_for(t, strange) for t in trials} == {None, "piper/x"}
