"""Options that several commands have."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

__all__ = ["SiteRules"]

SiteRules: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--site-rules",
        metavar="FILE",
        help="Rules of the site; they can only tighten.",
    ),
]
