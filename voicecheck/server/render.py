"""From a template to a response. Everything that is filled in is escaped."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from voicecheck.server.site import site_of, words_of
from voicecheck.server.words import Words, languages


@cache
def environment() -> Environment:
    """Return the templates, with escaping on and unknown names an error."""
    made = Environment(
        loader=PackageLoader("voicecheck.server"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["local_time"] = local_time
    made.filters["clock_time"] = clock_time
    return made


def page(
    request: Request,
    template: str,
    *,
    words: Words | None = None,
    http_status: int = 200,
    **context: Any,
) -> HTMLResponse:
    """Return a page.

    Args:
        request: what it answers.
        template: name of a file in `templates`, without `.html.j2`.
        words: the texts; None: in the visitor's language.
        http_status: of the response.
        context: what the template fills in.
    """
    site = site_of(request)
    filled = environment().get_template(f"{template}.html.j2")
    text = filled.render(
        t=words or words_of(request),
        form_token=site.entrance.form_token(request),
        languages=languages(),
        here=request.url.path,
        **context,
    )
    return HTMLResponse(text, http_status)


def reachable(body: Markup) -> Markup:
    """Let wide tables of a report be scrolled by keys as well (WCAG 2.1.1)."""
    wide = Markup('<div class="wide">')
    # both sides are markup of ours
    return body.replace(wide, Markup('<div class="wide" tabindex="0">'))


def local_time(at_utc: str) -> str:
    """Return a moment in the time of this computer, to the minute."""
    return f"{datetime.fromisoformat(at_utc).astimezone():%Y-%m-%d %H:%M}"


def clock_time(at_utc: str) -> str:
    """Return the time of day of this computer, to the second."""
    return f"{datetime.fromisoformat(at_utc).astimezone():%H:%M:%S}"
