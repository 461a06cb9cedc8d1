"""Count what enrolled voices gain and what strangers at a profile risk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from voicecheck.bench.calibration import expected_calibration_error
from voicecheck.bench.phrases import OTHER
from voicecheck.bench.training.enrolled_trials import HeardTrial
from voicecheck.dialogue.confirmation import Outcome, decide
from voicecheck.speech.calibration import Calibration
from voicecheck.speech.enrolment.fitting import FittedVoice
from voicecheck.speech.enrolment.own_voice import OwnVoice
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.fusion import Fusion, load_fusion
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.ports import Hypothesis

__all__ = ["Judged", "judge", "table"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One trial with one profile or none."""

    profile: str
    """own, other or none."""
    said: str
    heard: str
    confidence: float
    outcome: Outcome
    snr_db: float
    mismatch: bool
    """The profile was found to be another voice's by the end of the sequence."""
    sequence: str


def judge(
    network: WordNetwork,
    voices: Mapping[str, FittedVoice],
    trials: Sequence[HeardTrial],
    match_map: Calibration,
    answer_map: Fusion,
    *,
    only: set[str],
) -> list[Judged]:
    """Replay each speaker's trials in order: own profile, others' profiles, none.

    Args:
        network: of strangers.
        voices: profiles.
        trials: of all speakers.
        match_map: is it the same voice?
        answer_map: how sure is the enrolled answer?
        only: profiles that are judged.
    """
    found: list[Judged] = []
    paired = load_fusion()
    for speaker in dict.fromkeys(t.speaker for t in trials):
        own = [t for t in trials if t.speaker == speaker]
        if speaker in only:
            found += _replay(own, paired, None, "none")
        for name in sorted(only):
            voice = OwnVoice(
                name,
                voices[name],
                network,
                answer_map,
                VoiceMatch(network, voices[name], match_map),
            )
            kind = "own" if name == speaker else "other"
            # strangers at a profile: every second one is enough
            some = own if kind == "own" else own[::2]
            found += _replay(some, paired, voice, kind)
    return found


def _replay(
    trials: Iterable[HeardTrial],
    paired: Fusion,
    voice: OwnVoice | None,
    kind: str,
) -> list[Judged]:
    rows = []
    for trial in trials:
        answer = paired.posterior(trial.evidence)
        if voice is not None:
            answer = voice.weigh(
                trial.sound, trial.vector, trial.evidence, answer, trial.active
            )
        rows.append((trial, _hypotheses(trial, answer)))
    mismatch = voice is not None and voice.match.is_mismatch
    return [
        Judged(
            profile=kind,
            said=trial.said,
            heard=found[0].phrase if found else "",
            confidence=found[0].confidence if found else 0.0,
            outcome=decide(found),
            snr_db=trial.snr_db,
            mismatch=mismatch,
            sequence=f"{trial.speaker}|{voice.operator if voice else ''}",
        )
        for trial, found in rows
    ]


def _hypotheses(trial: HeardTrial, answer: Mapping[str, float]) -> list[Hypothesis]:
    made = []
    for text in sorted(answer, key=lambda t: -answer[t])[:2]:
        phrase = trial.active.phrase(text)
        if phrase is not None:
            made.append(
                Hypothesis(
                    phrase=text,
                    meaning=phrase.meaning,
                    confidence=answer[text],
                    control=phrase.control,
                )
            )
    return made


def table(rows: Sequence[Judged]) -> str:
    """Return the counts as text."""
    lines = [
        "profile  trials  right  accepted+right  wrong accepted  other speech accepted"
        "  ECE    told mismatch"
    ]
    for low, title in ((0.0, "SNR 0 dB and better"), (-99.0, "all")):
        lines.append(f"-- {title}")
        for kind in ("none", "own", "other"):
            these = [r for r in rows if r.profile == kind and r.snr_db >= low]
            if these:
                lines.append(_line(kind, these))
    for kind in ("none", "own", "other"):
        taken: dict[str, int] = {}
        for row in rows:
            accepted = row.profile == kind and row.outcome is Outcome.ACCEPT
            if accepted and row.said != row.heard:
                key = f"{row.said or 'other speech'} as {row.heard}"
                taken[key] = taken.get(key, 0) + 1
        most = sorted(taken.items(), key=lambda pair: -pair[1])[:8]
        lines.append(f"wrong, {kind}: " + ", ".join(f"{k} {n}" for k, n in most))
    return "\n".join(lines)


def _line(kind: str, rows: Sequence[Judged]) -> str:
    ours = [r for r in rows if r.said != OTHER]
    foreign = [r for r in rows if r.said == OTHER]
    accepted = [r for r in ours if r.outcome is Outcome.ACCEPT]
    right = sum(r.heard == r.said for r in ours)
    good = sum(r.heard == r.said for r in accepted)
    wrong = len(accepted) - good
    loose = sum(r.outcome is Outcome.ACCEPT for r in foreign)
    error = expected_calibration_error(
        [r.confidence for r in rows],
        [r.heard == r.said and r.said != OTHER for r in rows],
    )
    sequences = {r.sequence: r.mismatch for r in rows}
    told = sum(sequences.values()) / len(sequences)
    return (
        f"{kind:<8} {len(ours):>6}  {right / len(ours):>5.1%}  "
        f"{good / len(ours):>14.1%}  {wrong:>5} {wrong / len(ours):>7.2%}  "
        f"{loose:>6}/{len(foreign)} {loose / max(1, len(foreign)):>6.2%}  "
        f"{error:>10.3f}  {told:>6.1%}"
    )
