"""A real browser over files, offline.  Without one the tests are skipped and listed; under CI they fail."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import pytest

from explorer.brief.read import Study, read_study
from explorer.brief.start import write_study
from explorer.report.write import write_report
from explorer.scoring.open import shelf_for
from tests.report.conftest import with_builds
from tests.report.made import chance

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = next((p for n in ("chromium", "chromium-browser") if (p := shutil.which(n))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        message = "no chromium here: apt-get install chromium"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder: Path = tmp_path_factory.mktemp("browser") / "left-3"
    write_study(folder)
    return with_builds(read_study(folder))


@pytest.fixture(scope="session")
def left(study: Study) -> Study:
    """The same hand as a left one."""
    return replace(study, brief=replace(study.brief, side="left"))


@pytest.fixture(scope="session")
def report(study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("pages") / "left 3 ü.html"
    return write_report(study, chance(shelf_for(study)), target)


@pytest.fixture(scope="session")
def short_report(study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same of fewer drives: as many kinds of things on the page, fewer of each."""
    target = tmp_path_factory.mktemp("pages") / "short.html"
    return write_report(study, chance(shelf_for(study), each=2), target)


class Watched:
    """A page and what it asked for, complained about and threw."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda r: self.requests.append(r.url))
        page.on(
            "console",
            lambda m: self.complaints.append(m.text) if m.type in {"error", "warning"} else None,
        )
        page.on("pageerror", lambda e: self.complaints.append(str(e)))

    def go(self, path: Path, state: str = "") -> Page:
        """Opens a file."""
        self.page.goto(path.as_uri() + state)
        return self.page


@pytest.fixture
def watch(browser: Browser) -> Iterator[Callable[..., Watched]]:
    """Opens watched pages of a width and a colour scheme; all are closed after the test."""
    opened: list[Any] = []

    def make(
        width: int = 1200, scheme: Literal["light", "dark"] = "light", *, scripts: bool = True
    ) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            java_script_enabled=scripts,
            offline=True,
        )
        opened.append(context)
        return Watched(context.new_page())

    yield make
    for context in opened:
        context.close()
