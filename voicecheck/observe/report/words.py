"""Points, answers and figures of an observation in words."""

from __future__ import annotations

from datetime import datetime

from voicecheck.observe.texts_file import texts
from voicecheck.record.answer_json import answer_to_json
from voicecheck.report.labels_file import labels
from voicecheck.report.wording import answer_words, duration_words
from voicecheck.round.answers import Answer, Severity
from voicecheck.round.checklist import Checklist
from voicecheck.statistics.ordering import EditKind, EditStep


class Words:
    """The words of one language for one checklist.

    Args:
        checklist: in the language of the report.
        language: of the report; None: that of the checklist.
    """

    def __init__(self, checklist: Checklist, language: str | None = None) -> None:
        self.checklist = checklist
        self.language = language or checklist.language
        self.texts = texts(self.language)
        self._labels = labels(self.language)
        self._points = {point.id: point for point in checklist.checkpoints}
        self._zones = {zone.id: zone.title for zone in checklist.zones}

    def say(self, group: str, key: str, /, **values: object) -> str:
        """Return a text with its places filled in."""
        text = self.texts[group][key]
        return text.format(**values) if values else text

    def zone(self, zone_id: str) -> str:
        """Return the title of a zone, or its id when it is not known."""
        return self._zones.get(zone_id, zone_id)

    def prompt(self, checkpoint: str) -> str:
        """Return the question of a point, or its id when it is not known."""
        point = self._points.get(checkpoint)
        return point.prompt if point else checkpoint

    def point(self, checkpoint: str) -> str:
        """Return zone and question of a point."""
        point = self._points.get(checkpoint)
        if point is None:
            return checkpoint
        return f"{self.zone(point.zone_id)}: {point.prompt}"

    def points(self, checkpoints: tuple[str, ...] | list[str], most: int = 12) -> str:
        """Return several points in one line, the first few of them."""
        shown = [self.point(one).rstrip("?.") for one in checkpoints[:most]]
        more = len(checkpoints) - len(shown)
        return "; ".join(shown) + (f" (+{more})" if more > 0 else "")

    def answer(self, answer: Answer, checkpoint: str) -> str:
        """Return an answer in words."""
        point = self._points.get(checkpoint)
        unit = point.reading.unit if point and point.reading else ""
        fluids = {fluid.id: fluid.name for fluid in self.checklist.fluids}
        data = {**answer_to_json(answer), "unit": unit}
        return answer_words(data, {"fluids": fluids}, self._labels)

    def severity(self, severity: Severity) -> str:
        """Return a severity in words."""
        return self._labels["severity"][severity]

    def step(self, step: EditStep[str], *, zones: bool) -> str:
        """Return one difference of order in words."""
        name = self.zone if zones else self.prompt
        begin = self.say("step", "begin")
        values = {
            "item": name(step.item),
            "after": name(step.after) if step.after else begin,
            "walked_after": name(step.walked_after) if step.walked_after else begin,
        }
        kind = EditKind(step.kind)
        return self.texts["step"][kind].format(**values)

    def seconds(self, seconds: float | None) -> str:
        """Return a duration, or a dash."""
        return "–" if seconds is None else duration_words(seconds)

    @staticmethod
    def moment(at_utc: str) -> str:
        """Return a time in UTC to the second."""
        return f"{datetime.fromisoformat(at_utc):%Y-%m-%d %H:%M:%S} UTC"

    @staticmethod
    def clock(at_utc: str) -> str:
        """Return the time of day in UTC."""
        return f"{datetime.fromisoformat(at_utc):%H:%M:%S}"


def share(value: float | None) -> str:
    """Return a share in percent."""
    return "–" if value is None else f"{value:.0%}"


def number(value: float | None, digits: int = 2) -> str:
    """Return a number with a true minus sign, or a dash."""
    if value is None:
        return "–"
    text = f"{value:.{digits}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace("-", "−")
