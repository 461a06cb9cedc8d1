"""From a word to a mark: where the assessor is, and what is read back."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID, uuid4

from voicecheck.clock import Clock, utc_text
from voicecheck.observe.marks import Mark, MarkKind, MarkWay, Retraction
from voicecheck.observe.spoken.words import GO_TO
from voicecheck.round.checklist import Checklist, Checkpoint

_SAY = {
    "en": {
        "looked": "looked",
        "glanced": "glanced",
        "missed": "missed",
        "out_of_order": "out of order",
        "unsafe": "unsafe act",
        "called": "fault called",
        "real_fault": "real fault",
        "undo": "taken back: {mark}",
        "nothing": "nothing to take back",
        "stopped": "marking stopped",
        "last": "last point",
    },
    "ko": {
        "looked": "제대로 봄",
        "glanced": "훑어 봄",
        "missed": "놓침",
        "out_of_order": "순서 틀림",
        "unsafe": "위험 행동",
        "called": "결함 지적",
        "real_fault": "실제 결함",
        "undo": "취소함: {mark}",
        "nothing": "취소할 것 없음",
        "stopped": "평가 중지",
        "last": "마지막 항목",
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What a word led to."""

    event: Mark | Retraction | None
    """To be kept before the read-back is said."""
    read_back: str
    over: bool = False


class Marking:
    """The assessor's place on the round, and the marks made by voice.

    Args:
        checklist: in the language of the words.
        observation: its id.
        by: id of the assessor.
        clock: tells the time of each mark.
        standing: marks made before that undo may take back, by time.
        new_key: makes the key of an event.
    """

    def __init__(
        self,
        checklist: Checklist,
        observation: UUID,
        by: str,
        clock: Clock,
        standing: Iterable[Mark] = (),
        new_key: Callable[[], UUID] = uuid4,
    ) -> None:
        self._points = checklist.checkpoints
        self._checklist = checklist
        self._say = _SAY.get(checklist.language, _SAY["en"])
        self._observation = observation
        self._by = by
        self._clock = clock
        self._new_key = new_key
        self._standing = [mark for mark in standing if mark.by == by]
        self._at = 0
        if self._standing and self._standing[-1].checkpoint:
            self._at = self._place(self._standing[-1].checkpoint)

    @property
    def point(self) -> Checkpoint:
        """The point that a mark would belong to."""
        return self._points[self._at]

    def take(self, meaning: str) -> Step:
        """Turn the meaning of a word into an event and a read-back."""
        if meaning in set(MarkKind):
            return self._mark(MarkKind(meaning))
        if meaning.startswith(GO_TO):
            zone = self._checklist.zone(meaning.removeprefix(GO_TO))
            self._at = self._place(zone.checkpoints[0].id)
            return Step(event=None, read_back=zone.title)
        match meaning:
            case "undo":
                return self._undo()
            case "next" | "previous":
                moved = self._move(1 if meaning == "next" else -1)
                return Step(
                    event=None, read_back=self._here() if moved else self._say["last"]
                )
            case "stop":
                return Step(event=None, read_back=self._say["stopped"], over=True)
            case _:
                return Step(event=None, read_back=self._here())

    def _mark(self, kind: MarkKind) -> Step:
        mark = Mark(
            key=self._new_key(),
            observation=self._observation,
            kind=kind,
            at_utc=utc_text(self._clock.now()),
            by=self._by,
            checkpoint=self.point.id,
            way=MarkWay.SPOKEN,
        )
        read_back = f"{self._say[kind.value]}, {self._here()}"
        self._standing.append(mark)
        if kind.is_look:
            self._move(1)
        return Step(event=mark, read_back=read_back)

    def _undo(self) -> Step:
        if not self._standing:
            return Step(event=None, read_back=self._say["nothing"])
        mark = self._standing.pop()
        gone = Retraction(
            key=self._new_key(),
            observation=self._observation,
            mark=mark.key,
            at_utc=utc_text(self._clock.now()),
            by=self._by,
        )
        if mark.checkpoint:
            self._at = self._place(mark.checkpoint)
        taken_back = self._say["undo"].format(mark=self._say[mark.kind.value])
        read_back = f"{taken_back}, {self._here()}"
        return Step(event=gone, read_back=read_back)

    def _here(self) -> str:
        return self.point.prompt.rstrip("?. ")

    def _move(self, by: int) -> bool:
        to = min(max(self._at + by, 0), len(self._points) - 1)
        moved = to != self._at
        self._at = to
        return moved

    def _place(self, checkpoint: str) -> int:
        ids = [point.id for point in self._points]
        return ids.index(checkpoint) if checkpoint in ids else self._at
