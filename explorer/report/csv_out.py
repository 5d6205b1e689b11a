"""The keepers as a table that any spreadsheet opens; words are kept from being read as formulas."""

from __future__ import annotations

import csv
import io
import math

from explorer.report.gather import Gathered

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def keepers_csv(g: Gathered) -> str:
    """All keepers, old builds and nearest misses: every score in full, no rounding."""
    rows = [*g.result.keepers, *g.result.misses]
    aims = list(dict.fromkeys(name for k in rows for name in k.aims))
    slacks = list(dict.fromkeys(name for k in rows for name in k.slacks))
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n")
    head = ["drive", "kind", "architecture", "single", "fits", "seen_at"]
    write.writerow([*head, *(f"aim {a}" for a in aims), *(f"slack {s}" for s in slacks)])
    entries = {e.name: e for e in (*g.keepers, *g.others)}
    for k in {k.name: k for k in rows}.values():
        told = [k.name, entries[k.name].kind, k.architecture, k.single, "yes" if k.fits else "no"]
        values = [*(k.aims.get(a) for a in aims), *(k.slacks.get(s) for s in slacks)]
        write.writerow([*map(safe, told), k.seen_at, *map(_number, values)])
    for e in g.builds:
        told = [e.name, e.kind, e.architecture, "", "yes" if e.fits else "no"]
        whole = g.whole[e.name].scores.slacks
        values = [
            *(e.aims.get(a) for a in aims),
            *(float(whole[s][0]) if s in whole else None for s in slacks),
        ]
        write.writerow([*map(safe, told), "", *map(_number, values)])
    return out.getvalue()


def safe(words: str) -> str:
    """Words that no spreadsheet takes for a formula, also after leading spaces; numbers are not words."""
    return f"'{words}" if words.lstrip(" ").startswith(_FORMULA) else words


def _number(value: float | None) -> str:
    if value is None or not math.isfinite(value):
        return ""
    return repr(float(value))
