"""The addresses of the server, one module for each group."""

from __future__ import annotations

from fastapi import APIRouter

from voicecheck.server.pages import (
    defects,
    enter,
    learn,
    live,
    observe,
    observe_many,
    observe_mark,
    observe_result,
    people,
    records,
    release,
    start,
    units,
    walk,
    workshop,
)


def every_router() -> tuple[APIRouter, ...]:
    """Return all groups of addresses."""
    modules = (
        enter,
        units,
        release,
        start,
        walk,
        live,
        records,
        defects,
        workshop,
        people,
        learn,
        observe,
        observe_many,
        observe_mark,
        observe_result,
    )
    return tuple(module.router for module in modules)
