"""The page of a defect with its next steps, and that of a machine out of service."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse

from voicecheck.defects.hold import holding, ready, seen_mark
from voicecheck.defects.steps import kind_of
from voicecheck.defects.story import Defect, DefectState
from voicecheck.errors import RecordNotFound
from voicecheck.server.render import page
from voicecheck.server.site import site_of, words_of
from voicecheck.server.workshop.forms import LONGEST_TEXT, Given
from voicecheck.store.fleet import DefectStory
from voicecheck.store.names import MOST_CHARACTERS

_FORMS = {
    DefectState.FOUND: ("repaired", "start"),
    DefectState.BEING_REPAIRED: ("repaired",),
    DefectState.REPAIRED: ("checked",),
    DefectState.CHECKED: (),
}
"""What can be done next, the likeliest first."""
_NOTHING: Mapping[str, str] = {}


def story_of(request: Request, defect_id: str) -> DefectStory:
    """Return a defect and its story.

    Raises:
        RecordNotFound: there is no such defect.
    """
    try:
        return site_of(request).fleet.defect(defect_id)
    except RecordNotFound as error:
        raise RecordNotFound(words_of(request)("no_defect")) from error


def defect_page(
    request: Request,
    found: DefectStory,
    *,
    form: str = "",
    given: Given = _NOTHING,
    problems: Mapping[str, str] = _NOTHING,
    kept: bool = False,
    changed: bool = False,
) -> HTMLResponse:
    """Return the page of a defect.

    Args:
        request: what it answers.
        found: the defect and its story.
        form: which form was sent in and not taken; empty: none.
        given: what was typed into it.
        problems: what is wrong with it, by field.
        kept: what was sent in was written down.
        changed: it was not, because somebody else has written since.
    """
    defect = found.defect
    story: list[dict[str, Any]] = [
        {
            "kind": kind_of(one.event),
            "at_utc": one.at_utc,
            "by": one.by,
            "of": one.event,
        }
        for one in found.story
    ]
    return page(
        request,
        "defect",
        http_status=409 if changed else 422 if problems else 200,
        defect=defect,
        story=story,
        forms=_FORMS[defect.state],
        releasable=defect.holding and defect.state is DefectState.CHECKED,
        seen=seen_mark((defect,)),
        form=form,
        given=given,
        problems=problems,
        kept=kept,
        changed=changed,
        longest=LONGEST_TEXT,
        longest_name=MOST_CHARACTERS,
    )


def held_page(
    request: Request,
    unit: str,
    defects: tuple[Defect, ...],
    *,
    http_status: int = 200,
    given: Given = _NOTHING,
    problems: Mapping[str, str] = _NOTHING,
    changed: bool = False,
) -> HTMLResponse:
    """Return the page of a machine out of service: tag, defects, its release.

    Args:
        request: what it answers.
        unit: the machine.
        defects: its open defects.
        http_status: of the response.
        given: what was typed into the form of the release.
        problems: what is wrong with it, by field.
        changed: nothing was released, because somebody has written since.
    """
    return page(
        request,
        "held",
        http_status=http_status,
        unit=unit,
        defects=defects,
        held=holding(defects),
        ready=ready(defects),
        seen=seen_mark(defects),
        given=given,
        problems=problems,
        changed=changed,
        longest=LONGEST_TEXT,
        longest_name=MOST_CHARACTERS,
    )
