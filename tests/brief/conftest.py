"""A good study in a temporary folder, and ways to spoil it."""

from __future__ import annotations

from pathlib import Path

import pytest

from explorer.brief.errors import BadInput, Problem
from explorer.brief.read import Study, read_study
from explorer.brief.start import write_study

ORCHARD = Path(__file__).parents[2] / "studies" / "orchard"


class Bench:
    """A study folder that tests may change."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        write_study(folder)

    def text(self, file: str = "brief.toml") -> str:
        return (self.folder / file).read_text(encoding="utf-8")

    def write(self, text: str | bytes, file: str = "brief.toml") -> None:
        data = text.encode("utf-8") if isinstance(text, str) else text
        (self.folder / file).write_bytes(data)

    def swap(self, old: str, new: str, file: str = "brief.toml") -> int:
        """Puts `new` for the first `old`; the line (from 1) on which it starts."""
        text = self.text(file)
        assert old in text, f"{old!r} is not in {file}"
        self.write(text.replace(old, new, 1), file)
        return text[: text.index(old)].count("\n") + 1

    def read(self) -> Study:
        return read_study(self.folder)

    def refused(self) -> BadInput:
        with pytest.raises(BadInput) as caught:
            self.read()
        assert caught.value.exit_code == 2
        assert any(p.kind == "error" for p in caught.value.problems)
        return caught.value

    def one_error(self) -> Problem:
        """The only error that is shown (alike ones are shown together)."""
        refused = self.refused()
        shown = str(refused).splitlines()
        assert len(shown) == 2, str(refused)
        assert shown[-1].startswith("1 error")
        return refused.problems[0]


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path / "study")


@pytest.fixture(scope="session")
def orchard() -> Study:
    return read_study(ORCHARD)
