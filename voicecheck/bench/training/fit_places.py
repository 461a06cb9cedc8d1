"""Fit the weights with which names of zones and points are heard at practice:

    python -m voicecheck.bench.training.fit_places OUT.json [--trials 380]

The usual weights are of no use there: nearly all names are strange to the
network's word layer, which takes them for other speech. Fitted on formant and
diphone voices in the noises of `place_trials.MIXED`, names of all five machines;
judged on a neural voice that neither network nor weights have heard (piper's
"joe"), in quiet and over an idling diesel at 10 dB.
"""

from __future__ import annotations

import argparse
import logging
import random
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from voicecheck.bench.training.fit_fusion import CANDIDATE, fit, write_fusion
from voicecheck.bench.training.place_trials import (
    JUDGED,
    MIXED,
    PlaceTrial,
    Recall,
    hear_places,
)
from voicecheck.bench.voices.command_line import Espeak, Festival, Flite
from voicecheck.bench.voices.neural import Piper
from voicecheck.bench.voices.ports import Synthesiser, Voice
from voicecheck.checklists.loader import load
from voicecheck.dialogue.confirmation import decide
from voicecheck.learn.spoken.conversation import costs_of
from voicecheck.speech.fusion import Fusion
from voicecheck.speech.paired_recogniser import ranked

__all__ = ["PROVENANCE", "figures", "main"]

_LOG = logging.getLogger(__name__)
MACHINES = (
    "wheel-loader", "crawler-excavator", "track-dozer", "telescopic-handler",
    "articulated-dump-truck",
)  # fmt: skip
PROVENANCE = (
    "Conditional logit over {count} utterances, three in four of them names of zones "
    "and points, by eSpeak NG, Flite and Festival voices in quiet and six noises. "
    "The phone layer has heard these families, PocketSphinx has not. Synthetic "
    "voices only."
)


def figures(fusion: Fusion, trials: Sequence[PlaceTrial]) -> list[str]:
    """Tell, for each condition, what becomes of what is said.

    Args:
        fusion: the weights.
        trials: what was heard.
    """
    lines = []
    for condition in sorted({trial.condition for trial in trials}):
        became: Counter[tuple[bool, str]] = Counter()
        right = 0
        for trial in (t for t in trials if t.condition == condition):
            found = ranked(fusion.posterior(trial.heard.evidence), trial.active)
            best = found[0].meaning if found else None
            ours = trial.meant is not None
            right += ours and best == trial.meant
            outcome = decide(found, costs_of(trial.active)).value
            hit = "right" if best == trial.meant else "wrong"
            became[ours, outcome if outcome == "reject" else f"{outcome} {hit}"] += 1
        for ours, name in ((True, "names"), (False, "other speech")):
            count = sum(n for (own, _), n in became.items() if own is ours)
            parts = [
                f"{what} {n / count:.1%}"
                for (own, what), n in sorted(became.items())
                if own is ours
            ]
            first = f"likeliest right {right / count:.1%}, " if ours and count else ""
            lines.append(f"{condition}, {count} {name}: {first}{', '.join(parts)}")
    return lines


def _all(*sources: Synthesiser) -> list[tuple[Synthesiser, Voice]]:
    return [(source, voice) for source in sources for voice in source.voices()]


def main(arguments: list[str] | None = None) -> int:
    """Fit, judge and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--trials", type=int, default=380)
    parser.add_argument("--judge", type=int, default=240, help="trials; 0: none")
    parser.add_argument("--seed", type=int, default=3)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    checklists = [load(name) for name in MACHINES]
    voices = _all(Espeak(36, asked.seed + 1), *[Flite()] * 2, *[Festival()] * 2)
    recall = Recall(checklists, random.Random(asked.seed))
    trials = list(
        hear_places(recall, voices, MIXED, count=asked.trials, seed=asked.seed)
    )
    heard = [trial.heard for trial in trials]
    fusion = fit(heard, CANDIDATE, PROVENANCE.format(count=len(heard)))
    _LOG.info("fitted on\n%s", "\n".join(figures(fusion, trials)))
    if asked.judge:
        stranger = Recall(checklists[:2], random.Random(asked.seed + 18))
        judged = hear_places(
            stranger, _all(Piper()), JUDGED, count=asked.judge, seed=asked.seed + 18
        )
        _LOG.info("judged on\n%s", "\n".join(figures(fusion, list(judged))))
    write_fusion(asked.out, fusion)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
