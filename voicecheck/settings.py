"""Where voicecheck keeps its things on this computer."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs


def home() -> Path:
    """Return the folder of journals, records, models and cached prompts.

    The environment variable VOICECHECK_HOME overrides the usual place of the
    operating system. The folder is made when it is missing.
    """
    given = os.environ.get("VOICECHECK_HOME")
    folder = (
        Path(given) if given else Path(platformdirs.user_data_dir("voicecheck", False))
    )
    folder.mkdir(parents=True, exist_ok=True)
    return folder


STORE_URL = "VOICECHECK_STORE_URL"


def store_url() -> str | None:
    """Return the address of the store that VOICECHECK_STORE_URL names, or None."""
    return os.environ.get(STORE_URL) or None
