"""Which fonts a PDF is set in.

Letters of Europe come from an open font that voicecheck depends on. Hangul
comes from the font that the user names, from the package that `.[korean]`
brings, or from the usual folders of the system.
"""

from __future__ import annotations

import os
import struct
import sys
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from fontTools.ttLib import TTFont, TTLibError

from voicecheck.errors import UsageError

_HANGUL = "가힣점"
_KNOWN = (
    ("NanumGothic.ttf", "NanumGothicBold.ttf"),
    ("malgun.ttf", "malgunbd.ttf"),
    ("NotoSansKR-Regular.ttf", "NotoSansKR-Bold.ttf"),
    ("AppleGothic.ttf", "AppleGothic.ttf"),
    ("UnDotum.ttf", "UnDotumBold.ttf"),
)
"""File names of fonts with Hangul that systems bring along."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FontFiles:
    """One font in two weights."""

    regular: Path
    bold: Path

    def lacks(self, text: Iterable[str]) -> frozenset[str]:
        """Return the characters that it has no shape for, blanks left out."""
        known = _characters(self.regular)
        return frozenset(
            c
            for c in text
            if not c.isspace() and c.isprintable() and ord(c) not in known
        )


@cache
def _characters(path: Path) -> frozenset[int]:
    try:
        # opened here: the library leaves a file open that is no font
        with path.open("rb") as file, TTFont(file, lazy=True) as font:
            return frozenset(font.getBestCmap() or ())
    except (OSError, TTLibError, AssertionError, struct.error) as error:
        raise UsageError(
            f"{path} is no font that can be used ({error}); name a TrueType file (.ttf)"
        ) from error


@cache
def latin() -> FontFiles:
    """Return the font of European letters, which is always there."""
    folder = _package("fontpkg_fira_sans") / "files"
    return FontFiles(
        regular=folder / "FiraSans-Regular.ttf", bold=folder / "FiraSans-Bold.ttf"
    )


def hangul(named: Path | None = None) -> FontFiles:
    """Return a font with Hangul.

    Args:
        named: a file that the user chose; None: look for one.

    Raises:
        UsageError: there is none, or the named one has no Hangul.
    """
    if named is not None:
        files = FontFiles(regular=named, bold=named)
        if files.lacks(_HANGUL):
            raise UsageError(f"{named} has no Hangul; name another font with --font")
        return files
    for files in _installed():
        if not files.lacks(_HANGUL):
            return files
    raise UsageError(
        "no font with Hangul was found; install one with "
        "`pip install 'voicecheck[korean]'`, or name one: --font FILE.ttf"
    )


def fonts_for(text: str, language: str, named: Path | None = None) -> list[FontFiles]:
    """Return the fonts that a document needs, the one to use first in front.

    Args:
        text: everything that will be written.
        language: of the labels; `ko` puts Hangul in front.
        named: a font that the user chose.

    Raises:
        UsageError: letters would be lost, because no font has them.
    """
    base = latin()
    missing = base.lacks(text)
    if named is None and language != "ko" and not _letters(missing):
        return [base]
    if named is not None and not _has_hangul(missing) and language != "ko":
        chosen = FontFiles(regular=named, bold=named)
    else:
        chosen = hangul(named)
    lost = _letters(missing & chosen.lacks(missing))
    if lost:
        shown = " ".join(sorted(lost)[:12])
        raise UsageError(
            f"no font here has these letters: {shown}; name a font that has them: "
            "--font FILE.ttf"
        )
    return [chosen, base] if language == "ko" else [base, chosen]


def writable(text: str, fonts: Iterable[FontFiles]) -> str:
    """Return a text in which signs without a shape stand as their number, [U+2713].

    Nothing that somebody wrote is lost that way, nor shown as an empty box.
    """
    missing = frozenset(text)
    for font in fonts:
        missing &= font.lacks(missing)
    return "".join(_number(c) if c in missing or _hidden(c) else c for c in text)


def _hidden(character: str) -> bool:
    return not character.isspace() and not character.isprintable()


def _number(character: str) -> str:
    return f"[U+{ord(character):04X}]"


def _letters(characters: frozenset[str]) -> frozenset[str]:
    return frozenset(c for c in characters if unicodedata.category(c).startswith("L"))


def _has_hangul(characters: frozenset[str]) -> bool:
    return any("HANGUL" in unicodedata.name(c, "") for c in characters)


def _package(name: str) -> Path:
    spec = find_spec(name)  # not imported: it may want what is not needed here
    if spec is None or not spec.submodule_search_locations:
        raise UsageError(
            f"the font package {name} is missing; install voicecheck again"
        )
    return Path(next(iter(spec.submodule_search_locations)))


def _installed() -> Iterator[FontFiles]:
    for folder in _folders():
        there = {path.name: path for path in folder.rglob("*.tt[fc]")}
        for regular, bold in _KNOWN:
            if regular in there:
                yield FontFiles(
                    regular=there[regular], bold=there.get(bold, there[regular])
                )


def _folders() -> Iterator[Path]:
    if find_spec("koreanize_matplotlib") is not None:
        yield _package("koreanize_matplotlib") / "fonts"
    home = Path.home()
    match sys.platform:
        case "win32":
            places = [Path(os.environ.get("WINDIR", r"C:\Windows")) / "Fonts"]
        case "darwin":
            places = [home / "Library/Fonts", Path("/Library/Fonts")]
            places.append(Path("/System/Library/Fonts"))
        case _:
            places = [home / ".local/share/fonts", Path("/usr/local/share/fonts")]
            places.append(Path("/usr/share/fonts"))
    yield from (place for place in places if place.is_dir())
