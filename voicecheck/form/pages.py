"""The lines that the typed form shows."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len

from voicecheck.dialogue import prompts
from voicecheck.dialogue.turns import Say
from voicecheck.dialogue.wording import Wording
from voicecheck.form.entry import Choice, Entry, choices_at, folded
from voicecheck.form.texts import command_words, say
from voicecheck.round.answers import Answer, ReadingTaken
from voicecheck.round.checklist import Checklist, Checkpoint
from voicecheck.round.probing import Parts, Question, QuestionName
from voicecheck.round.walk import Walk

_WIDTH = 78
_INDENT = "     "


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Lines to show, then what is waited for; no entry: the form is left."""

    lines: tuple[str, ...]
    entry: Entry | None


class Pages:
    """Write lines in the words of one checklist and language."""

    def __init__(self, checklist: Checklist, language: str) -> None:
        self.language = language
        self.wording = Wording(checklist, language)
        self._checklist = checklist

    def say(self, key: str, /, **values: object) -> str:
        """Return one sentence of the form."""
        return say(self.language, key, **values)

    def opening(self, walk: Walk) -> list[str]:
        """Greet, with the cautions and how to type."""
        unit = walk.started.unit if walk.started else ""
        if walk.answers or walk.skipped:
            lines = [self.say("resume", unit=unit, left=walk.remaining)]
        else:
            points = len(self._checklist.checkpoints)
            lines = [self.say("start", unit=unit, points=points)]
            lines += [f"  {caution}" for caution in self._checklist.cautions]
        return [*lines, *self.how()]

    def how(self) -> list[str]:
        """Say how to type, and the commands."""
        words = command_words(self.language)
        listed = ", ".join({**words, "note": f"{words['note']} …"}.values())
        return wrapped(self.say("how")) + wrapped(self.say("commands", commands=listed))

    def zone(self, point: Checkpoint, *, returning: bool) -> list[str]:
        """Announce a zone."""
        title = self._checklist.zone(point.zone_id).title
        return ["", self.say("returning" if returning else "zone", zone=title)]

    def point(self, walk: Walk, point: Checkpoint) -> list[str]:
        """Ask a point, with its cautions."""
        total = len(self._checklist.checkpoints)
        done = total - walk.remaining + 1
        cautions = [
            _INDENT + self.wording.say("hazard", hazard=hazard)
            for hazard in point.hazards
        ]
        return [
            *cautions,
            self.say("point", done=done, total=total, prompt=point.prompt),
        ]

    def follow_up(self, question: Question, parts: Parts) -> list[str]:
        """Ask for a part, saying back the part before it."""
        name, meaning = list(parts.items())[-1]
        opened = self.wording.part(name.value, meaning).capitalize() + "."
        steps = prompts.follow_up(self.wording, question, opened)
        return [_INDENT + step.text for step in steps if isinstance(step, Say)]

    def explained(self, point: Checkpoint) -> list[str]:
        """Tell what to look at, what is wrong, and why."""
        texts = {"look": point.look, "wrong": point.wrong, "why": point.why}
        return [
            line
            for key, text in texts.items()
            for line in wrapped(self.say(f"help_{key}", text=text))
        ]

    def entry(self, question: Question, point: Checkpoint | None) -> Entry:
        """Return what may be typed at a question."""
        name = question.name.value
        choices = choices_at(
            name,
            self.language,
            question.meanings,
            lambda meaning: self.wording.part(name, meaning),
        )
        spec = point.reading if point is not None else None
        if spec is None or question.name is not QuestionName.NUMBER or point is None:
            return Entry(language=self.language, choices=choices)
        unit_words = frozenset({folded(spec.unit), folded(self.wording.unit(point))})
        return Entry(
            language=self.language,
            choices=choices,
            reading=spec,
            unit_words=unit_words,
        )

    def choices(self, entry: Entry) -> list[str]:
        """Show what may be typed."""
        listed = "   ".join(_shown(choice) for choice in entry.choices)
        spec = entry.reading
        if spec is None:
            return wrapped(listed)
        example = (spec.plausible_min + spec.plausible_max) / 2
        shown = f"{example:.{spec.decimals}f}"
        lines = wrapped(self.say("number", unit=spec.unit, example=shown))
        return lines + (
            wrapped(self.say("number_or", choices=listed)) if listed else []
        )

    def answer(self, point: Checkpoint, answer: Answer) -> str:
        """Return an answer in words, numbers in digits."""
        if isinstance(answer, ReadingTaken) and point.reading is not None:
            return f"{answer.value:f} {point.reading.unit}"
        return self.wording.answer(point, answer)

    def taken(self, point: Checkpoint, answer: Answer, *, too_fast: bool) -> str:
        """Say back an answer."""
        key = "taken_too_fast" if too_fast else "taken"
        return _INDENT + self.say(key, answer=self.answer(point, answer))

    def summary(self, walk: Walk) -> list[str]:
        """Show every finding, and the decision with every rule that leads to it."""
        decision = walk.proposed_decision
        lines = ["", self.say("findings", count=len(walk.findings))]
        for number, finding in enumerate(walk.findings, 1):
            point = self._checklist.checkpoint(finding.checkpoint_id)
            lines.append(
                self.say(
                    "finding",
                    number=number,
                    zone=self._checklist.zone(finding.zone_id).title,
                    point=self.wording.point(point),
                    answer=self.answer(point, finding.answer),
                )
            )
        outcome = self.wording.outcome(decision.outcome)
        lines += ["", self.say("decision", outcome=outcome)]
        reasons = {
            hit.rule_id: self.say("reason", text=hit.text, source=hit.source)
            for hit in decision.reasons
            if hit.outcome is decision.outcome
        }
        first = self.wording.say("first")
        return [*lines, *reasons.values(), "", first, "", self._checklist.declaration]


def wrapped(text: str) -> list[str]:
    """Break a text into indented lines, by the width that a terminal gives it."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip(" ")
        if lines[-1] and cell_len(_INDENT + longer) > _WIDTH:
            lines.append(word)
        else:
            lines[-1] = longer
    return [_INDENT + line for line in lines if line]


def _shown(choice: Choice) -> str:
    text = choice.text if choice.key == choice.text else f"[{choice.key}] {choice.text}"
    # non-breaking, so that a choice stays on one line
    whole = f"{text} ({choice.hint})" if choice.hint else text
    return whole.replace(" ", "\u00a0")
