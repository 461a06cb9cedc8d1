"""The posterior of the three witnesses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.bench.training.fit_fusion import CANDIDATE, Heard, fit
from voicecheck.speech.fusion import Fusion, Witnesses, load_fusion
from voicecheck.speech.network.model import NOISE, OTHER

WORDS = ("good", "defect", "leak")


def evidence(
    shares: tuple[float, float, float] = (0.4, 0.3, 0.1),
    raw: str = "",
    clean: str = "",
    spoken: tuple[float, float, float] = (-3.0, -6.0, -8.0),
) -> Witnesses:
    """Evidence about three words."""
    return Witnesses(
        shares={**dict(zip(WORDS, shares, strict=True)), OTHER: 0.1, NOISE: 0.1},
        raw=raw,
        clean=clean,
        noisy=True,
        spoken=dict(zip(WORDS, spoken, strict=True)),
        phones={"good": 3, "defect": 6, "leak": 3},
        utterance_s=1.0,
    )


SHARE = st.floats(0, 1)
FIT = st.floats(-200, 0)


@given(
    shares=st.tuples(SHARE, SHARE, SHARE),
    spoken=st.tuples(FIT, FIT, FIT),
    raw=st.sampled_from(["", *WORDS]),
    clean=st.sampled_from(["", *WORDS]),
)
def test_it_is_a_probability(
    shares: tuple[float, float, float],
    spoken: tuple[float, float, float],
    raw: str,
    clean: str,
) -> None:
    """Each phrase gets 0 to 1, all together at most 1: the rest is "none of them"."""
    found = load_fusion().posterior(evidence(shares, raw, clean, spoken))
    assert set(found) == set(WORDS)
    assert all(0 <= p <= 1 for p in found.values())
    assert sum(found.values()) <= 1 + 1e-9


@pytest.mark.parametrize("word", WORDS)
def test_every_witness_speaks_for_what_it_found(word: str) -> None:
    """A decode that found a phrase makes it likelier and the others less likely."""
    before = load_fusion().posterior(evidence())
    for heard in (evidence(raw=word), evidence(clean=word)):
        after = load_fusion().posterior(heard)
        assert after[word] > before[word]
        assert all(after[w] < before[w] for w in WORDS if w != word)


@pytest.mark.parametrize(("raw", "clean"), [("good", ""), ("", "good")])
def test_a_short_word_of_the_grammar_engine_counts_less(raw: str, clean: str) -> None:
    """It says "no" for anything short: "help", "note", "doll"."""
    gained = {}
    for phones in (2, 6):
        alike = replace(evidence(), phones=dict.fromkeys(WORDS, phones))
        before = load_fusion().posterior(alike)
        after = load_fusion().posterior(replace(alike, raw=raw, clean=clean))
        gained[phones] = odds(after["good"]) / odds(before["good"])

    assert 1 < gained[2] < gained[6]


def odds(probability: float) -> float:
    """Return p to 1 - p."""
    return probability / (1 - probability)


def test_a_sound_much_too_long_for_a_word_is_believed_less() -> None:
    """Four seconds of talk with our word in it is less likely our word."""
    sure = evidence((0.9, 0.0, 0.0), "good", "good")
    fusion = load_fusion()
    assert (
        fusion.posterior(replace(sure, utterance_s=4.0))["good"]
        < (fusion.posterior(sure)["good"])
    )


def test_the_fit_finds_weights_that_made_the_data() -> None:
    """Choices drawn from known weights give these weights back (McFadden 1974).

    The estimate is consistent: with 4,000 draws two weights come back within
    a tenth of their size or 0.1.
    """
    true = Fusion(
        candidate=dict.fromkeys(CANDIDATE, 0.0)
        | {"network": 1.0, "clean_noisy": 1.5, "long": -0.1},
        none={
            "always": -2.0, "other": 0.5, "noise": 0.0, "misfit": 0.0,
            "no_raw": 0.0, "no_clean": 0.0, "length_s": 0.0, "noisy": 0.0,
        },
    )  # fmt: skip
    rng = np.random.default_rng(4)
    heard = []
    for _ in range(4000):
        shares = rng.dirichlet(np.ones(5) * 0.5)
        trial = replace(
            evidence(clean=str(rng.choice(["", *WORDS]))),
            noisy=bool(rng.integers(2)),
            shares=dict(zip([*WORDS, OTHER, NOISE], shares.tolist(), strict=True)),
        )
        found = true.posterior(trial)
        options = [*found, OTHER]
        odds = [*found.values(), 1 - sum(found.values())]
        said = str(rng.choice(options, p=np.array(odds) / sum(odds)))
        heard.append(
            Heard(evidence=trial, said="" if said == OTHER else said, snr_db=0)
        )
    fitted = fit(heard)
    assert fitted.candidate["network"] == pytest.approx(1.0, abs=0.1)
    assert fitted.candidate["clean_noisy"] == pytest.approx(1.5, abs=0.15)
    assert fitted.none["other"] == pytest.approx(0.5, abs=0.1)


def test_other_speech_that_counts_three_times_is_as_if_it_came_three_times() -> None:
    """The same weights as from the trials with other speech twice more."""
    rng = np.random.default_rng(8)
    heard = [
        Heard(
            evidence=evidence(
                tuple(rng.dirichlet(np.ones(3)) * 0.8), clean=str(rng.choice(WORDS))
            ),
            said=str(rng.choice(["", *WORDS])),
            snr_db=0,
        )
        for _ in range(200)
    ]
    other = [trial for trial in heard if trial.said == ""]

    counted, repeated = fit(heard, other=3.0), fit([*heard, *other, *other])

    assert counted.candidate == pytest.approx(repeated.candidate, abs=0.01)
    assert counted.none == pytest.approx(repeated.none, abs=0.01)
    assert counted.none["always"] > fit(heard).none["always"]


def test_the_shipped_weights_say_where_they_come_from() -> None:
    """Both files name their trials; no witness counts against what it found."""
    for name in ("fusion", "fusion-enrolled"):
        fusion = load_fusion(name)
        assert "utterances" in fusion.provenance or "trials" in fusion.provenance
        assert fusion.candidate["network"] > 0
        assert fusion.candidate["spoken"] > 0
        assert fusion.candidate["clean_noisy"] > 0
