"""How fast the scorer is:  python -m tests.bench.rate [STUDY]

Candidates a second of processor time at a batch of 4,000, beside the same drives one at a time, and
beside a calibration loop (a plain numpy pass of known work) so that machines can be compared.  Others at
work on the same machine take cache, not only time: the best of several passes counts.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from explorer.brief.read import read_study
from explorer.drives.assemble import ARCHITECTURES, Space, tag
from explorer.drives.values import random_vectors
from explorer.scoring.open import shelf_for
from explorer.scoring.score import score, warm_up


def calibration() -> float:
    """Million multiply-add-root passes a second over (1000,12) arrays: the machine's own speed."""
    a = np.linspace(0.1, 1.0, 12000).reshape(1000, 12)
    start, rounds = time.process_time(), 0
    while time.process_time() - start < 0.5:
        np.sqrt(a * a + a)
        rounds += 1
    return rounds * a.size / (time.process_time() - start) / 1e6


def rate(space: Space, batch: int, seconds: float) -> float:
    """Candidates a second at this batch size, best of the passes that fit into `seconds`."""
    X = random_vectors(space, batch, np.random.default_rng(1))
    score(space, X)
    best, start = 0.0, time.process_time()
    while time.process_time() - start < seconds:
        t = time.process_time()
        score(space, X)
        best = max(best, batch / (time.process_time() - t))
    return best


def main(study: str = "studies/orchard") -> None:
    """Print one line an architecture."""
    warm_up()
    shelf = shelf_for(read_study(Path(study)))
    print(f"calibration: {calibration():.0f} million elements/s of sqrt(a*a + a)")
    for architecture in ARCHITECTURES:
        space = Space(shelf, architecture)
        one, many = rate(space, 1, 1.0), rate(space, 4000, 2.0)
        print(
            f"{tag(architecture)}  batch 4000: {many:8.0f}/s   one at a time: {one:6.0f}/s   ratio {many / one:5.0f}"
        )
    print(f"calibration: {calibration():.0f} million elements/s of sqrt(a*a + a)")


if __name__ == "__main__":
    main(*sys.argv[1:2])
