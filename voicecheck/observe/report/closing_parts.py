"""What stands below the figures: notes, doubts, appeal, signatures, seal."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.decision import Decided
from voicecheck.observe.document import result_sha256
from voicecheck.observe.events import Signing
from voicecheck.observe.keeping import started
from voicecheck.observe.report.parts import (
    Bullets,
    Facts,
    Heading,
    Part,
    Sentence,
    SignatureLines,
)
from voicecheck.observe.report.words import Words
from voicecheck.observe.result import Result
from voicecheck.observe.seal import groups, opened


def closing(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    """Return notes, doubts, appeal, signatures and seal."""
    yield from _remarks(result, words)
    yield from _signatures(result, decided, words)
    yield from _seal(result, words)


def _remarks(result: Result, words: Words) -> Iterator[Part]:
    notes = [mark for mark in result.observation.marks if mark.note]
    if notes:
        yield Heading(text=words.say("sections", "notes"))
        yield Bullets(
            texts=tuple(
                f"{words.clock(m.when_utc)}  "
                + (f"{words.point(m.checkpoint)}  " if m.checkpoint else "")
                + m.note
                for m in notes
            )
        )
    if result.doubts:
        yield Heading(text=words.say("sections", "doubts"))
        yield Bullets(
            texts=tuple(
                words.say("doubt", doubt.kind, detail=words.point(doubt.detail))
                for doubt in result.doubts
            )
        )


def _signatures(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    say, seen = words.say, result.observation
    begun, sha256 = started(seen), result_sha256(result, decided)
    yield Heading(text=say("sections", "appeal"))
    yield Bullets(
        texts=tuple(
            f"{one.by}, {words.moment(one.at_utc)}: {one.text}" for one in seen.appeals
        )
        or (say("text", "none"),)
    )
    yield Sentence(text=say("text", "appeal_how"), soft=True)
    yield Heading(text=say("sections", "signatures"))
    rows = []
    for role, who in ((Signing.ASSESSOR, begun.by), (Signing.TRAINEE, begun.trainee)):
        signed = [one for one in seen.signatures if one.role is role]
        state = say("text", "not_signed")
        if signed:
            right = any(one.result_sha256 == sha256 for one in signed)
            state = say("text", "signed" if right else "signed_other")
            state += f", {words.moment(signed[-1].at_utc)}"
        rows.append((f"{say('facts', role)}: {who}", state))
    yield Facts(rows=tuple(rows))
    yield SignatureLines(
        labels=tuple(f"{say('text', 'signature')}: {name}" for name, _ in rows)
    )
    yield Sentence(text=say("text", "declared"), soft=True)
    yield Sentence(text=f"SHA-256: {groups(sha256)}", soft=True)


def _seal(result: Result, words: Words) -> Iterator[Part]:
    say, seen = words.say, result.observation
    yield Heading(text=say("sections", "seal"))
    holds = result.seal == "holds"
    yield Sentence(text=say("seal", result.seal), strong=not holds)
    document = opened(seen.opened.sealed if seen.opened else None)
    yield Facts(
        rows=(
            (say("seal", "commitment"), groups(started(seen).commitment)),
            (say("seal", "sealed_at"), words.moment(document.sealed_utc)),
        )
    )
    yield Sentence(text=say("seal", "clock"), soft=True)
