"""Enrol a voice: spoken on a sound link, or from a folder of recordings."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import typer

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.ports import SoundLink
from voicecheck.cli import wiring
from voicecheck.cli.enrol_keep import privacy
from voicecheck.cli.json_text import json_text
from voicecheck.cli.voices import store
from voicecheck.clock import SystemClock, utc_text
from voicecheck.errors import UsageError
from voicecheck.speech.enrolment.fitting import fit_voice
from voicecheck.speech.enrolment.folder import read_folder
from voicecheck.speech.enrolment.nearness import Nearness
from voicecheck.speech.enrolment.network_view import fingerprint
from voicecheck.speech.enrolment.profile import Example, Source, VersionKind
from voicecheck.speech.enrolment.session import EnrolmentSession
from voicecheck.speech.enrolment.spoken import Ended, SpokenSession, Voice
from voicecheck.speech.enrolment.words import WordList, known_phrases, words_to_say
from voicecheck.speech.file_listener import FileListener
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What is to be said by whom."""

    operator: str
    language: str
    words: tuple[str, ...]
    anew: bool
    """Examples of these words from before do not count."""
    input_: str | None = None
    output: str | None = None


def wanted(language: str, choice: WordList, only: list[str] | None) -> tuple[str, ...]:
    """Return the words to say.

    Raises:
        UsageError: no question takes one of them.
    """
    if not only:
        return words_to_say(language, choice)
    known = known_phrases(language)
    strange = [word for word in only if word not in known]
    if strange:
        raise UsageError(
            f"no question takes {', '.join(map(repr, strange))}; "
            "voicecheck hear --list-questions shows the phrases"
        )
    return tuple(dict.fromkeys(only))


def spoken(plan: Plan, simulated: tuple[NoiseKind, float] | None) -> int:
    """Carry a spoken session through; return the exit status."""
    network = WordNetwork.load()
    session = EnrolmentSession(plan.words, _known(plan))
    if session.next() is None:
        typer.echo(
            f"{plan.operator} has said all of these words. --again says them anew, "
            "--words full adds more, --check shows how well they work."
        )
        return 0
    typer.echo(privacy(plan.operator))
    progress = session.progress()
    if progress.good:
        typer.echo(f"{progress.good} good examples from before are kept.")
    with wiring.synthesiser() as synthesiser:
        ended = _run(plan, session, network, synthesiser, simulated)
    if ended is Ended.STOPPED:
        typer.echo("Stopped. The same command goes on where you were.")
        return 1
    kind = VersionKind.ENROLMENT
    _save(plan.operator, plan.language, network, session.examples, kind)
    return 1 if session.skipped else 0


def _known(plan: Plan) -> tuple[Example, ...]:
    """Good examples from before: of the unfinished session, and of the profile."""
    kept = store()
    draft = kept.draft(plan.operator)
    if draft:
        return draft
    if not kept.has(plan.operator):
        return ()
    examples = kept.load(plan.operator).examples
    if plan.anew:
        return tuple(e for e in examples if e.phrase not in plan.words)
    return examples


def _run(
    plan: Plan,
    session: EnrolmentSession,
    network: WordNetwork,
    synthesiser: Pyttsx3Synthesiser,
    simulated: tuple[NoiseKind, float] | None,
) -> Ended:
    from voicecheck.audio.device import DeviceLink  # noqa: PLC0415

    nearness = Nearness(network, plan.words)
    nearness.add(session.examples)

    def keep(examples: Sequence[Example]) -> None:
        store().save_draft(plan.operator, plan.language, examples)

    def talk(link: SoundLink, said: Callable[[str], None]) -> Ended:
        voice = Voice(
            link=link,
            endpointer=Endpointer(SileroActivity()),
            recogniser=PairedRecogniser(network=network),
            synthesiser=synthesiser,
        )
        return SpokenSession(
            voice,
            session,
            nearness,
            tell=typer.echo,
            keep=keep,
            said=said,
            now_utc=lambda: utc_text(SystemClock().now()),
        ).run()

    if simulated is not None:
        return _simulated(talk, synthesiser, plan.language, *simulated)
    with DeviceLink(input_device=plan.input_, output_device=plan.output) as link:
        for notice in link.notices:
            typer.echo(notice)
        return talk(wiring.shaped(link), lambda _: None)


def _simulated(
    talk: Callable[[SoundLink, Callable[[str], None]], Ended],
    synthesiser: Pyttsx3Synthesiser,
    language: str,
    kind: NoiseKind,
    snr_db: float,
) -> Ended:
    """Let a synthetic voice say the words in a simulated yard."""
    from voicecheck.audio.simulated import SimulatedLink  # noqa: PLC0415
    from voicecheck.demo.yard import (  # noqa: PLC0415
        OPERATOR_VOICES,
        OperatorVoice,
        background,
    )

    level = None if kind is NoiseKind.QUIET else snr_db
    link = SimulatedLink(background(kind, level, np.random.default_rng(1)))
    speak = OperatorVoice(link, synthesiser, OPERATOR_VOICES[language][0])
    ended = talk(link, lambda word: speak(word, 0.5, 1))
    typer.echo(f"A session of {link.clock.monotonic_s() / 60:.1f} minutes.")
    return ended


def from_folder(operator: str, language: str, folder: Path, as_json: bool) -> int:
    """Enrol from recordings; 1 when some could not be used."""
    known = known_phrases(language)
    network = WordNetwork.load()
    nearness = Nearness(network, known)
    listener = FileListener(PairedRecogniser(network=network), SileroActivity())
    found = read_folder(folder, listener, nearness, known)
    for line in (*found.problems, *found.notes):
        print(line, file=sys.stderr)
    if not found.examples:
        raise UsageError(f"no recording in {folder} can be used; see the lines above")
    phrases = {e.phrase for e in found.examples}
    examples = list(found.examples)
    if store().has(operator):
        before = store().load(operator).examples
        examples += [
            e for e in before if e.phrase not in phrases or e.source is Source.LEARNED
        ]
    version = _save(
        operator, language, network, examples, VersionKind.FOLDER, quiet=as_json
    )
    if as_json:
        said = [e.phrase for e in found.examples]
        counts = {p: said.count(p) for p in sorted(phrases)}
        data = {"operator": operator, "version": version, "examples": counts}
        typer.echo(json_text({**data, "problems": found.problems}))
    else:
        typer.echo(privacy(operator))
    return 1 if found.problems else 0


def _save(
    operator: str,
    language: str,
    network: WordNetwork,
    examples: Sequence[Example],
    kind: VersionKind,
    *,
    quiet: bool = False,
) -> int:
    kept = store()
    if not examples:
        raise UsageError("no example was good enough: nothing is kept; try again")
    learned: tuple[Example, ...] = ()
    if kind is VersionKind.ENROLMENT and kept.has(operator):
        before = kept.load(operator).examples
        learned = tuple(e for e in before if e.source is Source.LEARNED)
    every = (*examples, *learned)
    about = kept.save(
        operator,
        every,
        fit_voice(network, every),
        kind=kind,
        language=language,
        network=fingerprint(network),
    )
    kept.drop_draft(operator)
    if not quiet:
        typer.echo(
            f"Kept: version {about.version} of the voice of {operator}, "
            f"{len(about.phrases)} words, {len(about.examples)} examples. "
            "--check shows how well it works."
        )
    return about.version
