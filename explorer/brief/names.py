"""File names from names that people gave."""

from __future__ import annotations

import re
import unicodedata

LONGEST_SLUG = 64

# Names that some systems keep for devices.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))}


def slug(name: str, fallback: str = "unnamed") -> str:
    """A safe file name part, [a-z0-9-]{1,64}, whatever the name holds.

    >>> slug("Über die Säge / v2")
    'uber-die-sage-v2'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    cut = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:LONGEST_SLUG].strip("-")
    return f"{cut}-" if cut in _DEVICES else cut or fallback
