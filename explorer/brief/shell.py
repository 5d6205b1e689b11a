"""Words on their way to a terminal: as they can be typed in a shell, and without what it would obey."""

from __future__ import annotations

from pathlib import Path
from shlex import quote

from explorer.brief.parse import character_fault


def quoted(word: str | Path) -> str:
    """A word as it can be typed in a shell; a folder that begins with a dash is no option."""
    dashed = isinstance(word, Path) and str(word).startswith("-")
    return quote(f"./{word}" if dashed else str(word))


def clean(text: str) -> str:
    """Without what a terminal would obey instead of show; tabs and line ends stay."""
    if character_fault(text, note=True) is None:
        return text
    return "".join(c for c in text if character_fault(c, note=True) is None)
