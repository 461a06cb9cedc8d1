"""What is kept of a voice: list, versions, check, go back, delete."""

from __future__ import annotations

import dataclasses
import sys

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.cli.voices import store
from voicecheck.errors import ProfileError
from voicecheck.speech.enrolment.leave_one_out import ProfileCheck, check_profile
from voicecheck.speech.enrolment.opening import open_voice
from voicecheck.speech.enrolment.profile import Source
from voicecheck.speech.network.model import WordNetwork

_GOOD, _FAIR = 0.95, 0.85


def privacy(operator: str) -> str:
    """Say where a voice lies, and how to be rid of it."""
    return (
        f"The recordings lie in {store().folder(operator)} and never leave this "
        f"computer. To remove them: voicecheck enrol --operator {operator!r} --delete"
    )


def list_voices(as_json: bool) -> None:
    """Print whose voices are kept."""
    owners = store().operators()
    if as_json:
        typer.echo(json_text([o.model_dump() for o in owners]))
        return
    for owner in owners:
        state = f"version {owner.current}" if owner.current else "not finished"
        learns = "learns from walks" if owner.learn else "does not learn"
        typer.echo(f"{owner.operator}  {state}, {learns}")
    if not owners:
        typer.echo("No voices are kept here.")


def list_versions(operator: str, as_json: bool) -> None:
    """Print all versions of one voice."""
    kept = store()
    current = kept.current(operator)
    rows = [
        {
            "version": v.version,
            "current": v.version == current,
            "kind": v.kind.value,
            "created_utc": v.created_utc,
            "words": len(v.phrases),
            "enrolled": v.count(Source.ENROLLED),
            "learned": v.count(Source.LEARNED),
            "network": v.network,
        }
        for v in kept.versions(operator)
    ]
    if not rows:
        raise ProfileError(
            f"{operator} has no voice profile: make one with voicecheck enrol"
        )
    if as_json:
        typer.echo(json_text(rows))
        return
    for row in rows:
        mark = "*" if row["current"] else " "
        typer.echo(
            f"{mark}{row['version']:>3}  {row['created_utc']}  {row['kind']:<9} "
            f"{row['words']} words, {row['enrolled']} examples, "
            f"{row['learned']} learned"
        )
    typer.echo("* is in use; --back N uses another.")


def go_back(operator: str, version: int) -> None:
    """Use an older version."""
    about = store().go_back(operator, version)
    typer.echo(f"Version {about.version} of {operator} is used from now on.")


def set_learning(operator: str, learn: bool) -> None:
    """Let walks improve a profile, or not."""
    if not store().has(operator):
        raise ProfileError(f"{operator} has no voice profile: enrol first")
    store().set_learning(operator, learn)
    what = "improve" if learn else "leave alone"
    typer.echo(f"Walks of {operator} {what} the voice profile from now on.")


def delete_voice(operator: str, yes: bool) -> None:
    """Remove a voice after asking."""
    kept = store()
    folder = kept.folder(operator)
    if not folder.exists():
        raise ProfileError(f"nothing is kept of the voice of {operator}")
    if not yes:
        question = f"Remove the voice of {operator} in {folder} for good?"
        typer.confirm(question, abort=True)
    kept.delete(operator)
    typer.echo(f"Removed: {folder}")


def check_voice(operator: str, as_json: bool) -> int:
    """Hear every example without itself; 1 when words should be said again."""
    network = WordNetwork.load()
    stored = open_voice(store(), operator, network, _aside)
    found = check_profile(network, stored.about.language, stored.examples, _aside)
    if as_json:
        data = dataclasses.asdict(found)
        again = list(found.again)
        typer.echo(json_text({**data, "again": again, "verdict": verdict(found)}))
    else:
        _print(operator, found)
    return 1 if found.again else 0


def verdict(found: ProfileCheck) -> str:
    """Say in plain words how well a profile works."""
    if found.with_profile >= _GOOD and not found.again:
        return "The profile works well."
    if found.with_profile >= _FAIR:
        return "The profile works; some words could be better."
    return "The profile works badly: enrol again in a quieter place."


def _print(operator: str, found: ProfileCheck) -> None:
    typer.echo("word                 with   without  (right, in ten noises)")
    for word in found.words:
        note = f"  taken for {word.mistaken_for}" if word.mistaken_for else ""
        mark = "  SAY AGAIN" if word.weak else ""
        typer.echo(
            f"{word.phrase:<19} {word.with_profile:>5.0%} "
            f"{word.without_profile:>8.0%}{mark}{note}"
        )
    typer.echo(
        f"\nAll words: {found.with_profile:.1%} with the profile, "
        f"{found.without_profile:.1%} without."
    )
    if found.without_learned is not None:
        change = found.with_profile - found.without_learned
        helps = "helps" if change > 0 else "does not help"
        typer.echo(
            f"Without what was learned in walks: {found.without_learned:.1%}; "
            f"learning {helps} ({change:+.1%})."
        )
    typer.echo(verdict(found))
    if found.again:
        options = " ".join(f"--word {w!r}" for w in found.again)
        typer.echo(f"Say again: voicecheck enrol --operator {operator!r} {options}")


def _aside(text: str) -> None:
    print(f"  {text}", file=sys.stderr, flush=True)
