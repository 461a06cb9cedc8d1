"""Fit whether a voice is still the one that a walk began with:

    python -m voicecheck.bench.training.fit_walk_match CORPUS --families festvox
        --weights A.onnx [--judge style]

--weights names a sister network that has not heard the families. Writes
`walk-match.json` into --out. A walk knows a word by one to three examples, said
in its own noise; that is less than a profile has, so the map of profiles would
take a speaker for another one. Run it after every training of the network.
"""

from __future__ import annotations

import argparse
import logging
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import OTHER, TUNING, Clip, clips_of
from voicecheck.bench.training.enrolled_trials import utterance_of
from voicecheck.bench.training.fit_enrolled import Rows, fit_map, write_map
from voicecheck.bench.trials import CONDITIONS, Condition
from voicecheck.speech.calibration import Calibration
from voicecheck.speech.enrolment.acquaintance import MOST_OF_A_WORD
from voicecheck.speech.enrolment.fitting import HeardExample, hear_example, marks_of
from voicecheck.speech.enrolment.learning import trimmed
from voicecheck.speech.enrolment.network_view import fingerprint, word_vector
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.network.model import WordNetwork

__all__ = ["main", "walk_rows"]

_LOG = logging.getLogger(__name__)
_CALIBRATIONS = Path(__file__).parents[2] / "speech" / "calibrations"
_LOWEST_SNR_DB = 0.0
_SAME_SETTING = 0.7
"""How often a word is said again at the rate and pitch of its examples."""
_SAME_NOISE = 0.8


class _Talk:
    """Who says what, in which noise; all that is drawn comes from one source.

    Args:
        clips: of all speakers.
        seed: of what is drawn.
    """

    def __init__(self, clips: Sequence[Clip], seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        said: dict[str, dict[str, list[Clip]]] = defaultdict(lambda: defaultdict(list))
        for clip in clips:
            if clip.label != OTHER:
                said[clip.speaker][clip.text].append(clip)
        self._said = said
        self.speakers = sorted(said)
        others = [c.frames for c in clips if c.label == OTHER]
        self._talkers = tuple(others[:: max(1, len(others) // 150)])
        self._conditions = [c for c in CONDITIONS if c.snr_db >= _LOWEST_SNR_DB]

    def speaker(self, but: str = "") -> str:
        """Draw a speaker, another one than `but`."""
        return str(self.rng.choice([s for s in self.speakers if s != but]))

    def texts(self, speaker: str) -> list[str]:
        """Return what a speaker says."""
        return sorted(self._said[speaker])

    def condition(self) -> Condition:
        """Draw a noise."""
        return self._conditions[int(self.rng.integers(len(self._conditions)))]

    def clip(self, speaker: str, text: str, voice: str = "") -> Clip:
        """Draw a clip; of one setting, if it is named and there is one."""
        clips = self._said[speaker][text]
        same = [c for c in clips if c.voice == voice]
        if same and self.rng.uniform() < _SAME_SETTING:
            clips = same
        return clips[int(self.rng.integers(len(clips)))]

    def heard(self, clip: Clip, condition: Condition) -> Frames:
        """Return the utterance as the end-pointing cuts it."""
        return utterance_of(clip, condition, self.rng, self._talkers)


def walk_rows(
    network: WordNetwork, clips: Sequence[Clip], count: int, seed: int
) -> Rows:
    """Compare words with examples of the same speaker and of another one.

    Args:
        network: gives the features.
        clips: of at least two speakers.
        count: comparisons of each kind.
        seed: of what is drawn.
    """
    talk = _Talk(clips, seed)
    rows: Rows = []
    for number in range(count):
        speaker = talk.speaker()
        other = talk.speaker(but=speaker)
        texts = sorted({*talk.texts(speaker)} & {*talk.texts(other)})
        text = str(talk.rng.choice(texts))
        setting = talk.clip(speaker, text).voice
        condition = talk.condition()
        sounds = [
            talk.heard(talk.clip(speaker, text, setting), condition)
            for _ in range(int(talk.rng.integers(1, MOST_OF_A_WORD + 1)))
        ]
        match = VoiceMatch(network, marks_of(_examples(network, text, sounds)))
        then = condition if talk.rng.uniform() < _SAME_NOISE else talk.condition()
        for who in (speaker, other):
            sound = talk.heard(talk.clip(who, text, setting), then)
            found = match.compare(text, sound, word_vector(network, sound))
            assert found is not None
            rows.append((found.as_features(), who == speaker, speaker))
        if number % 200 == 199:
            _LOG.info("%d of %d compared", number + 1, count)
    return rows


def _examples(
    network: WordNetwork, text: str, sounds: Sequence[Frames]
) -> list[HeardExample]:
    return [
        hear_example(network, Example(phrase=text, frames=trimmed(sound)), seed)
        for seed, sound in enumerate(sounds)
    ]


def judged(rows: Rows, fitted: Calibration) -> str:
    """Return how well the map tells voices apart, word by word."""
    shares = np.array([fitted.probability(found) for found, _, _ in rows])
    same = np.array([hit for _, hit, _ in rows])
    own, other = shares[same], shares[~same]
    area = float(np.mean(own[:, None] > other[None]))
    return (
        f"{len(rows)} words: area under the curve {area:.3f}; mean log odds "
        f"{_odds(own):+.2f} for the same voice, {_odds(other):+.2f} for another"
    )


def _odds(shares: NDArray[np.float64]) -> float:
    clipped = np.clip(shares, 1e-6, 1 - 1e-6)
    return float(np.mean(np.log(clipped / (1 - clipped))))


def main(arguments: list[str] | None = None) -> int:
    """Fit, judge and write; 1 when there are too few speakers."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("--families", nargs="+", default=[f.value for f in TUNING])
    parser.add_argument("--judge", nargs="*", default=[])
    parser.add_argument("--words", type=int, default=1000)
    parser.add_argument("--weights", type=Path)
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--out", type=Path, default=_CALIBRATIONS)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    asked.out.mkdir(parents=True, exist_ok=True)
    network = WordNetwork.load(asked.weights)
    clips = list(clips_of(asked.corpus, asked.families))
    speakers = {clip.speaker for clip in clips}
    if len(speakers) < 2:
        _LOG.error("there is nobody else to compare with: choose more --families")
        return 1
    rows = walk_rows(network, clips, asked.words, asked.seed)
    text = (
        f"Same voice as on the walk before, or another: logistic regression over "
        f"{len(rows)} words of {', '.join(asked.families)}, {len(speakers)} speakers, "
        f"network {fingerprint(network)}; trained on "
        f"{network.provenance.get('families')}."
    )
    fitted = fit_map(rows, provenance=text)
    _LOG.info("%s", judged(rows, fitted))
    write_map(asked.out / "walk-match.json", fitted)
    if asked.judge:
        strange = list(clips_of(asked.corpus, asked.judge))
        others = walk_rows(network, strange, asked.words // 3, asked.seed + 1)
        _LOG.info("on %s: %s", ", ".join(asked.judge), judged(others, fitted))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
