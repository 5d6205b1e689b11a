"""The files that ship with the program, as text."""

from __future__ import annotations

from importlib.resources import files


def template(name: str) -> str:
    """Text of a packaged file of `explorer/brief/data`."""
    return (files("explorer.brief") / "data" / name).read_text(encoding="utf-8")
