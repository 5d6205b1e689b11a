"""Find drives of all six architectures that fit a study:  python -m tests.bench.find_drives [STUDY]"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from explorer.brief.read import read_study
from explorer.drives.assemble import ARCHITECTURES, Space, tag
from explorer.scoring.open import shelf_for
from explorer.scoring.score import score
from tests.bench.simple_search import search


def main(study: str = "studies/orchard", rounds: int = 900, seeds: int = 3) -> int:
    """One line an architecture: looked at, first fit, its aims; a seed more, up to `seeds`, where none fits.

    Returns in how many architectures none was found.
    """
    shelf = shelf_for(read_study(Path(study)))
    missing = 0
    for architecture in ARCHITECTURES:
        space = Space(shelf, architecture)
        for seed in range(seeds):
            start = time.perf_counter()
            found = search(space, rounds, seed)
            best = score(space, found.X[:1])
            seconds = time.perf_counter() - start
            if found.violation[0] <= 0.0:
                aims = "  ".join(f"{k} {v[0]:.3g}" for k, v in best.aims.items())
                print(
                    f"{tag(architecture)} seed {seed}: fits after {found.first_fit_at} of {found.looked_at}"
                    f" ({seconds:.1f} s)  {aims}"
                )
                break
            off = ", ".join(f"{k} {v[0]:.3g}" for k, v in best.slacks.items() if v[0] < 0.0)
            print(
                f"{tag(architecture)} seed {seed}: none of {found.looked_at} fits; nearest misses by {off}"
            )
        else:
            missing += 1
    return missing


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
