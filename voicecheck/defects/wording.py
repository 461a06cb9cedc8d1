"""What is said and shown of a machine that is out of service, by language."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib import resources

from voicecheck.defects.story import Defect, DefectState
from voicecheck.round.answers import Severity

FALLBACK = "en"

Tables = dict[str, dict[str, str]]

_KEPT = {
    "leak": r"(?P<fluid>.+) leak, class (?P<leak_class>I{1,3})",
    "could_not_check": r"could not be checked: (?P<reason>.+)",
    "level": r"level (?P<level>.+)",
    "reading": r"reading (?P<value>.+)",
    "defect": r"(?P<fault>.+), (?P<severity>minor|major|critical)",
}
"""How `voicecheck.store.findings` puts a finding into words, by its answer."""


@cache
def tables(language: str) -> Tables:
    """Return the texts of a language; the English ones where it has none."""
    folder = resources.files(__package__) / "texts"
    file = folder / f"{language}.toml" if language.isalpha() else folder
    if not file.is_file():
        file = folder / f"{FALLBACK}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


class HoldWording:
    """Texts of one language."""

    def __init__(self, language: str) -> None:
        self._tables = tables(language)

    def say(self, key: str, /, **values: object) -> str:
        """Return one sentence, filled in."""
        return self._tables["say"][key].format(**values)

    def severity(self, severity: Severity) -> str:
        """Return a severity in words."""
        return self._tables["severity"][severity.value]

    def state(self, state: DefectState) -> str:
        """Return a state in words."""
        return self._tables["state"][state.value]

    def finding(self, kept: str) -> str:
        """Return a finding that was kept in English words, in this language.

        Names of fluids and units stay as the walk has them; words that no rule
        knows come back as they are.
        """
        for name, pattern in _KEPT.items():
            match = re.fullmatch(pattern, kept)
            if match is not None:
                parts = match.groupdict().items()
                shown = {what: self._word(what, word) for what, word in parts}
                return self._tables["finding"][name].format(**shown)
        return kept

    def defect(self, defect: Defect) -> str:
        """Return a defect as it is read out."""
        return self.say(
            "defect_holds" if defect.holding else "defect",
            title=defect.title,
            finding=self.finding(defect.words),
            date=defect.found_utc[:10],
            by=defect.found_by,
            severity=self.severity(defect.severity),
            state=self.state(defect.state),
        )

    def _word(self, table: str, word: str) -> str:
        return self._tables.get(table, {}).get(word.replace(" ", "_"), word)
