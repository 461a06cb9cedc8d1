"""A learner at a desk: what was practised, and one sitting, typed or spoken."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Self
from uuid import uuid4

import typer

from voicecheck.checklists.loader import load
from voicecheck.cli.json_text import json_text
from voicecheck.clock import SystemClock
from voicecheck.errors import LearnError
from voicecheck.learn.deck import Deck, deck
from voicecheck.learn.events import LearnEvent, Look, Mode, Review
from voicecheck.learn.keeping import Practice
from voicecheck.learn.plan import Plan, calls_now, plan, seconds_a_card
from voicecheck.learn.scheduling import replay
from voicecheck.learn.sessions.guided import resume_point
from voicecheck.learn.sessions.ports import Session
from voicecheck.learn.sessions.recorded import Recorded, left_open, take_up
from voicecheck.learn.sessions.texts import Texts
from voicecheck.learn.situations import Situation, build
from voicecheck.people.store import PeopleStore
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.learn.report.view import View

Keep = Callable[[tuple[LearnEvent, ...]], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """How one practises."""

    typed: bool
    input: str | None
    output: str | None
    engine: Engine | None
    json: bool

    def tell(self, text: str) -> None:
        """Print a line for a person; with --json on the standard error."""
        typer.echo(text, err=self.json)


class Desk:
    """Opens what a learner's commands need, and closes it."""

    def __init__(
        self,
        learner: str,
        checklist: str,
        language: str,
        site_rules: Path | None = None,
    ) -> None:
        self.checklist = load(checklist, language, site_rules)
        self._clock = SystemClock()
        self._people = PeopleStore(clock=self._clock)
        self._practice = Practice(self._people, learner, clock=self._clock)
        self._learner = learner
        self._cards: Deck | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._people.close()

    def enrol(self, means: Means) -> None:
        """Register the learner with the first practice."""
        if self._practice.enrol():
            means.tell(f"{self._learner} is registered as a learner now.")

    def plan(self, minutes: float) -> Plan:
        """Return today's plan; of somebody new, everything is new."""
        done = self._practice.done() if self._practice.known else ()
        seconds = seconds_a_card(done)
        now = self._clock.now()
        return plan(self.cards, replay(done), now, minutes=minutes, seconds=seconds)

    def calls(
        self, *, minutes: float, count: int | None, zones: Iterable[str]
    ) -> tuple[Situation, ...]:
        """Return the situations to call now.

        Raises:
            LearnError: there are none in this language, for this machine or zone.
        """
        build(self.checklist)  # says why there are none
        wanted = tuple(zones)
        known = [zone.id for zone in self.checklist.zones]
        unknown = [zone for zone in wanted if zone not in known]
        if unknown:
            raise LearnError(f"no zone {unknown[0]!r}; there are {', '.join(known)}")
        done = self._practice.done()
        found = calls_now(
            self.cards,
            replay(done),
            self._clock.now(),
            minutes=minutes,
            seconds=seconds_a_card(done),
            count=count,
            zones=wanted,
        )
        if not found:
            raise LearnError("nothing can be called there; choose another zone")
        return found

    def guided_from(self) -> str | None:
        """Return the point behind the one that was looked at last."""
        looked = [
            one.event.checkpoint
            for one in self._practice.done()
            if isinstance(one.event, Look)
            and one.event.checklist == self.checklist.name
        ]
        return resume_point(self.checklist, looked)

    def recorded(
        self, session: Session, scope: str, means: Means, *, anew: bool
    ) -> Recorded:
        """Return the session with what was said before it broke off."""
        said = () if anew else left_open(self._practice.done(), session.mode, scope)
        if said:
            taken = take_up(session, said)
            text = Texts("typed", self.checklist.language).say("taken_up", count=taken)
            means.tell(text)
        sitting = said[-1].sitting if said else uuid4()
        return Recorded(session, sitting=sitting, scope=scope)

    def view(self, reader: str | None) -> View:
        """Return the view of the learner's progress."""
        from voicecheck.learn.report.view import view  # noqa: PLC0415 (loads scipy)

        done = self._practice.done(reader)
        return view(self._learner, self.cards, done, self._clock.now())

    @property
    def cards(self) -> Deck:
        """Everything that can be learned of the machine."""
        if self._cards is None:
            self._cards = deck(self.checklist)
        return self._cards

    def sit(self, session: Session, means: Means) -> None:
        """Practise, and print how it went."""
        self._practice.begin(session.mode)
        kept: list[LearnEvent] = []

        def keep(events: tuple[LearnEvent, ...]) -> None:
            self._practice.keep(events)
            kept.extend(events)

        if means.typed:
            ended = self._typed(session, keep, means)
        else:
            from voicecheck.cli.learn_spoken import spoken  # noqa: PLC0415

            spoken(session, self.checklist, keep, means, self._learner)
            ended = True
        if ended:
            self._practice.end(session.mode)
        if means.json:
            typer.echo(json_text(_result(session.mode, kept)))

    def _typed(self, session: Session, keep: Keep, means: Means) -> bool:
        """Practise at the keyboard; tell whether it came to an end."""
        from voicecheck.learn.typed import Ending, run_typed  # noqa: PLC0415

        ending = run_typed(
            session,
            language=self.checklist.language,
            keep=keep,
            read=_keyboard(err=means.json),
            say=means.tell,
        )
        return ending is not Ending.LEFT


def _result(mode: Mode, events: Sequence[LearnEvent]) -> dict[str, object]:
    """Return the events of one sitting."""
    return {
        "mode": mode.value,
        "reviews": sum(isinstance(event, Review) for event in events),
        "events": [
            {"kind": event.kind, **event.model_dump(mode="json")} for event in events
        ],
    }


def _keyboard(*, err: bool) -> Callable[[], str | None]:
    """Return what reads a line, or None at the end of the input."""
    stream = sys.stderr if err else sys.stdout

    def read() -> str | None:
        print("> ", end="", file=stream, flush=True)
        line = sys.stdin.readline()
        return line.rstrip("\n") if line else None

    return read
