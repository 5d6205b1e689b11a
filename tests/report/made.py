"""Made results: vectors of a short plain search, or of chance, filled into a StudyResult."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from explorer.drives.assemble import ARCHITECTURES, tag
from explorer.drives.shelf import Shelf
from explorer.drives.values import random_vectors
from explorer.mechanics.types import Floats
from explorer.scoring.open import space_for
from explorer.scoring.score import score
from explorer.study.records import Covered, Kept, Ledger, Progress, SeedAgreement, StudyResult

AIMS = ("grip", "pieces", "room", "pin_margin", "weeks")
MORE = {"grip", "pin_margin", "weeks"}
ENOUGH = {"pin_margin": 1.0, "weeks": 52.0}


def kept_of(
    shelf: Shelf, architecture: str, X: Floats, first: int, *, claim: bool = False
) -> list[Kept]:
    """Scored vectors as records; `claim` says that they fit, to fill a page without a search."""
    space = space_for(shelf, architecture)
    s = score(space, X)
    out = []
    for i in range(X.shape[0]):
        aims = {k: float(v[i]) for k, v in s.aims.items()}
        slacks = {k: float(v[i]) for k, v in s.slacks.items()}
        fits = claim or bool(s.feasible[i])
        name = f"{tag(architecture)}-{first + i:02d}"
        x = tuple(float(v) for v in X[i])
        out.append(
            Kept(
                name,
                architecture,
                space.single,
                x,
                aims,
                slacks,
                fits,
                keeper=False,
                seen_at=100 * (i + 1),
                seconds=1.0,
            )
        )
    return out


def unbeaten(rows: Sequence[Kept]) -> list[Kept]:
    """Those that no other one beats on every aim, plainly compared."""
    names = [a for a in AIMS if all(a in k.aims for k in rows)]
    table = np.array([[_counted(a, k.aims[a]) for a in names] for k in rows])
    out = []
    for i, k in enumerate(rows):
        better = (table >= table[i]).all(axis=1) & (table > table[i]).any(axis=1)
        same = (table[:i] == table[i]).all(axis=1) if i else np.zeros(0, dtype=bool)
        if k.fits and not (better & np.array([r.fits for r in rows])).any() and not same.any():
            out.append(replace(k, keeper=True))
    return out


def _counted(aim: str, value: float) -> float:
    value = min(max(value, -1e12), 1e12)
    value = min(value, ENOUGH.get(aim, np.inf))
    return value if aim in MORE else -value


def result_of(
    keepers: Sequence[Kept],
    misses: Sequence[Kept],
    brief_hash: str,
    state: str = "done",
    shown: Mapping[str, str] | None = None,
    looked: int = 32800,
) -> StudyResult:
    """A result around these drives."""
    ledger = []
    for a in ARCHITECTURES:
        kept = sum(k.architecture == a for k in keepers)
        fits = 3 * kept
        ledger.append(
            Ledger(a, looked, looked // 2, looked // 3, looked // 4, looked // 8, fits, kept)
        )
    best = {a: _best(a, keepers) for a in AIMS if keepers and all(a in k.aims for k in keepers)}
    volume = {a: 0.3 + 0.05 * n for n, a in enumerate(ARCHITECTURES)}
    progress = tuple(
        Progress(r, looked * 6 * r // 10, 6.0 * r, len(keepers) * r // 10, 1.0, volume, best)
        for r in range(1, 11)
    )
    covered = tuple(
        Covered(
            a, *((None, None) if a == ARCHITECTURES[5] else (0.0004 * n, 0.01 * n)), settled=n == 1
        )
        for n, a in enumerate(ARCHITECTURES)
    )
    agreement = tuple(SeedAgreement(s, best, volume) for s in (1, 2))
    return StudyResult(
        "orchard", brief_hash, state, (1, 2), 2, "200,000 drives", None if state == "done" else 0.38,  # type: ignore[arg-type]
        state == "done", 10, looked * 6, 61.5, 0, tuple(keepers), tuple(misses), shown or {},
        tuple(ledger), progress, agreement, covered,
    )  # fmt: skip


def _best(aim: str, rows: Sequence[Kept]) -> float:
    values = [k.aims[aim] for k in rows]
    return max(values) if aim in MORE else min(values)


def chance(shelf: Shelf, each: int = 6, seed: int = 7) -> StudyResult:
    """Drives of chance that are said to fit: a whole page in a moment, where only the writing is tested."""
    rng = np.random.default_rng(seed)
    rows: list[Kept] = []
    for a in ARCHITECTURES[:5]:
        X = random_vectors(space_for(shelf, a), each, rng)
        rows += kept_of(shelf, a, X, 1, claim=True)
    last = ARCHITECTURES[5]
    miss = kept_of(shelf, last, random_vectors(space_for(shelf, last), 1, rng), 1)
    return result_of(unbeaten(rows), [replace(m, fits=False) for m in miss], shelf.brief.hash6)
