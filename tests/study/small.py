"""A small study that is searched in seconds: two fingers, an easy hand, few rows; and a run of it to kill."""

import json
import sys
from dataclasses import replace
from math import radians
from pathlib import Path

from explorer.brief.canonical import hash6
from explorer.brief.errors import EvenerError
from explorer.brief.read import Study
from explorer.brief.records import Box, Brief, Cavity
from explorer.search.island import Settings
from explorer.study.ask import Ask
from explorer.study.records import StudyResult
from explorer.study.run import Begun, Went, run_study
from explorer.study.tribes import Scheme
from tests.factories import make_brief, make_limits, make_shop, make_stock, make_wrist

SCHEME = Scheme(
    Settings(population=16, batch=16),
    tribes=4,
    alone=2,
    few=2,
    together=4,
    most=6,
    joined=3,
    whole=Settings(population=24, batch=24),
)


def easy_brief() -> Brief:
    """Two fingers, room to spare, a long stroke and few hard limits: some drives fit within a few rounds."""
    return make_brief(
        2,
        cavity=Cavity(Box("cavity", -60.0, 60.0, -120.0, 0.0, -20.0, 60.0), (), 0.1),
        wrist=make_wrist(travel=radians(110.0), torque_peak=3000.0),
        limits=make_limits(share_error=0.5, grip_ratio=0.2, tilt=radians(60.0), lean=radians(40.0)),
        shop=make_shop(min_web=0.3, edge_over_thickness=0.5, largest_turned=80.0),
    )


def study_in(folder: Path, brief: Brief | None = None, said: float = 1.0) -> Study:
    """The study as if read from `folder`; `said` stands for whatever a brief may say."""
    folder.mkdir(exist_ok=True)
    canonical = json.dumps({"brief": {"wrist": {"arm_mm": said}}, "stock": {}})
    brief = replace(brief or easy_brief(), hash6=hash6(canonical))
    return Study(folder, folder.name, brief, make_stock(), (), (), (), {}, canonical)


def searched(folder: Path, evaluations: int, workers: int = 1, **more: object) -> StudyResult:
    """Run the small study in `folder`."""
    ask = Ask(evaluations=evaluations, workers=workers)
    return run_study(study_in(folder), ask, lambda _: None, scheme=SCHEME, **more)  # type: ignore[arg-type]


def main(folder: str, evaluations: str, workers: str, algorithm: str = "") -> int:
    """A run in a process of its own, which says on stdout what it was told: one line an event."""

    def tell(event: Begun | Went) -> None:
        told = "begun" if isinstance(event, Begun) else f"round {event.progress.round}"
        sys.stdout.write(f"{told}\n")
        sys.stdout.flush()

    ask = Ask(evaluations=int(evaluations), workers=int(workers), algorithm=algorithm)
    try:
        result = run_study(study_in(Path(folder)), ask, tell, scheme=SCHEME)
    except EvenerError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    return 0 if result.state == "done" else 130


if __name__ == "__main__":
    raise SystemExit(main(*sys.argv[1:5]))
