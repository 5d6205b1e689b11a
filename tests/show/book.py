"""One study of the made-up hand, with one unpolished drive of each architecture in its build book."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from explorer.brief.read import read_study
from explorer.brief.start import write_study
from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.values import random_vectors, values_of
from explorer.scoring.open import shelf_for, space_for
from explorer.scoring.reactions import gripping
from explorer.scoring.score import Detail, detail, score
from explorer.show.proof import solved

SEED = 3
DRAWN = 150


def build_text(name: str, architecture: str, values: dict[str, object], more: str = "") -> str:
    """One [[build]] as a maker would write it."""
    lines = [f'{k} = "{v}"' if isinstance(v, str) else f"{k} = {v!r}" for k, v in values.items()]
    head = f'[[build]]\nname = "{name}"\narchitecture = "{architecture}"\n{more}[build.values]\n'
    return head + "\n".join(lines) + "\n"


def _grips(d: Detail) -> bool:
    """Whether true lengths lead to every grip."""
    exact, demand = solved(d), d.space.shelf.demand
    return exact is not None and np.array_equal(
        gripping(demand, exact), demand.index("grip", "carry")
    )


def write_builds(folder: Path) -> None:
    """A study with that build book."""
    write_study(folder)
    (folder / "builds.toml").write_text(_book(), encoding="utf-8")


@cache
def _book() -> str:
    """The least bad of some random drives of each architecture that has an exact witness."""
    with TemporaryDirectory() as made:
        write_study(Path(made) / "study")
        shelf = shelf_for(read_study(Path(made) / "study"))
    book = ["schema = 1\n"]
    for architecture in ARCHITECTURES:
        space = space_for(shelf, architecture)
        X = random_vectors(space, DRAWN, np.random.default_rng(SEED))
        order = np.argsort(score(space, X).violation, kind="stable")
        best = next(i for i in order if _grips(detail(space, X[i : i + 1])))
        name = architecture.replace("+", " with ")
        book.append(build_text(name, architecture, values_of(space, X[best])))
    return "\n".join(book)
