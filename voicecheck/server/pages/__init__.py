"""The addresses of the server, one module for each group."""

from __future__ import annotations

from fastapi import APIRouter

from voicecheck.server.pages import (
    defects,
    enter,
    live,
    observe_mark,
    people,
    records,
    start,
    units,
    walk,
)


def every_router() -> tuple[APIRouter, ...]:
    """Return all groups of addresses."""
    modules = (enter, units, start, walk, live, records, defects, people, observe_mark)
    return tuple(module.router for module in modules)
