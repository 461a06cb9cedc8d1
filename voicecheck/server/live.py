"""Follow a walk in the journal, whoever walks it: this server or another program.

`Follower` is given the entries of one walk again and again; it walks the walk
with them and says in words what is new.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.form.pages import Pages
from voicecheck.record.steps import Aside, SittingBegan
from voicecheck.round import events as ev
from voicecheck.round.checklist import Checklist
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp, Walk
from voicecheck.server.words import Words
from voicecheck.store.ports import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing that happened."""

    seq: int
    at_utc: str
    kind: str
    """recorded, taken_back, skipped, note, unheard, other."""
    zone: str
    point: str
    """The prompt; empty when it is about the whole walk."""
    heard: str
    """Words as they were heard, typed or pressed."""
    recorded: str
    """What was recorded, in words."""
    flags: tuple[str, ...] = ()
    """What should catch the eye, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Now:
    """Where the walk stands."""

    state: str
    """asking, climbing, summing_up, paused, over."""
    zone: str
    point: str
    answered: int
    points: int
    findings: int
    outcome: str
    """Name of the decision as it stands, of what was answered so far."""


class Follower:
    """Walk along with a journal.

    Args:
        checklist: of the walk.
        words: texts of the pages, in the walk's language.
    """

    def __init__(self, checklist: Checklist, words: Words) -> None:
        self.walk = Walk(checklist)
        self.seq = 0
        """The newest entry that was taken in."""
        self.words = words
        self._pages = Pages(checklist, words.language)

    def take_in(self, entries: tuple[Entry, ...]) -> tuple[Line, ...]:
        """Return what is new among all entries of the walk.

        Raises:
            WalkError: they do not make a walk.
        """
        lines = []
        for entry in entries[self.seq :]:
            line = self._line(entry)
            if not isinstance(entry.event, Aside):
                self.walk.apply(entry.event)
            self.seq = entry.seq
            if line is not None:
                lines.append(line)
        return tuple(lines)

    def now(self) -> Now:
        """Return where the walk stands."""
        walk = self.walk
        zone = point = ""
        match walk.task:
            case AskCheckpoint(checkpoint=asked):
                state, point = "asking", asked.prompt
                zone = walk.checklist.zone(asked.zone_id).title
            case Climb(zone=place):
                state, zone = "climbing", place.title
            case SumUp():
                state = "summing_up"
            case Over():
                state = "over"
        return Now(
            state="paused" if walk.paused and state != "over" else state,
            zone=zone,
            point=point,
            answered=len(walk.answers),
            points=len(walk.checklist.checkpoints),
            findings=len(walk.findings),
            outcome=walk.decision.outcome.value if state == "over" else "",
        )

    def _line(self, entry: Entry) -> Line | None:
        t, event = self.words, entry.event
        match event:
            case ev.AnswerConfirmed():
                return self._answer(entry, event)
            case ev.AnswerWithdrawn() | ev.SkipWithdrawn():
                return self._made(entry, "taken_back", t.of("live", "taken_back"))
            case ev.CheckpointSkipped():
                reason = self._pages.wording.word("reason", event.reason.value)
                text = f"{t.of('live', 'skipped')}: {reason}"
                return self._made(entry, "skipped", text)
            case ev.NoteKept():
                text = event.text or t("spoken_note", seconds=round(event.seconds))
                return self._made(entry, "note", f"{t.of('live', 'note')}: {text}")
            case ev.Observed():
                text = t.of("observed", event.kind)
                return self._made(entry, "unheard", text, heard=event.detail)
            case SittingBegan():
                mode = t.of("mode", event.mode)
                return self._made(entry, "other", t("sitting", mode=mode))
            case ev.WalkStarted():
                return None
            case ev.Declared():
                key = "signed" if event.accepted else "not_signed"
                return self._made(entry, "other", t.of("live", key))
            case ev.WalkPaused() | ev.WalkResumed() | ev.ClimbDone() | ev.WalkStopped():
                return self._made(entry, "other", t.of("live", type(event).__name__))
            case _:
                return None  # noise is shown in the record

    def _answer(self, entry: Entry, event: ev.AnswerConfirmed) -> Line:
        point = self.walk.checklist.checkpoint(event.checkpoint_id)
        how, t = entry.how, self.words
        flags = []
        if how is not None and how.too_fast:
            flags.append(t.of("live", "too_fast"))
        if how is not None and how.confidence is not None:
            flags.append(t("confidence", share=f"{how.confidence:.2f}"))
        return self._made(
            entry,
            "recorded",
            self._pages.answer(point, event.answer),
            heard=", ".join(how.words) if how else "",
            flags=tuple(flags),
        )

    def _made(
        self,
        entry: Entry,
        kind: str,
        recorded: str,
        *,
        heard: str = "",
        flags: tuple[str, ...] = (),
    ) -> Line:
        checklist = self.walk.checklist
        point_id = getattr(entry.event, "checkpoint_id", None)
        zone_id = getattr(entry.event, "zone_id", None)
        prompt = ""
        if point_id is not None:
            point = checklist.checkpoint(point_id)
            prompt, zone_id = point.prompt, point.zone_id
        return Line(
            seq=entry.seq,
            at_utc=entry.at_utc,
            kind=kind,
            zone=checklist.zone(zone_id).title if zone_id else "",
            point=prompt,
            heard=heard,
            recorded=recorded,
            flags=flags,
        )
