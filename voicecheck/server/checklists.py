"""The checklists that walks can begin with."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from voicecheck.checklists import available, load
from voicecheck.checklists.files import languages_of, read_checklist
from voicecheck.errors import UsageError
from voicecheck.round.checklist import Checklist
from voicecheck.server.settings import ServerSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """A checklist in the list to choose from."""

    name: str
    title: str
    languages: tuple[str, ...]


@lru_cache(maxsize=1)
def _shipped() -> tuple[Offered, ...]:
    return tuple(
        Offered(name=each.name, title=each.title, languages=each.languages)
        for each in available()
    )


def offered(settings: ServerSettings) -> tuple[Offered, ...]:
    """Return all checklists, those of the site first.

    Raises:
        ChecklistError: a file of the site is wrong.
    """
    own = []
    for name, path in settings.checklists.items():
        file = read_checklist(path)
        languages = (file.language, *languages_of(path))
        own.append(Offered(name=name, title=file.title, languages=languages))
    names = {each.name for each in own}
    return (*own, *(each for each in _shipped() if each.name not in names))


def chosen(settings: ServerSettings, name: str, language: str) -> Checklist:
    """Return a checklist by the name in the list, which is never taken as a path.

    Raises:
        UsageError: it is not in the list, or has no such language.
    """
    for each in offered(settings):
        if each.name == name and language in each.languages:
            source = settings.checklists.get(name, name)
            return load(source, language, settings.site_rules)
    raise UsageError("choose a checklist and a language from the list")
