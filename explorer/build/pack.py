"""One chosen drive -> its build pack: refused where it does not fit, else written whole.

A pack holds drive.toml, parts.csv, drawings/ (a DXF and an SVG a cut part number), assembly.svg,
build-sheet.html, next/ (the next study) and contents.txt (what belongs to the pack).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from explorer.brief.builds import Build
from explorer.brief.errors import DoesNotFit, short
from explorer.brief.read import Study
from explorer.build.chains import chains_of
from explorer.build.drawing import drawing_of
from explorer.build.dxf import dxf_text
from explorer.build.fits import joints_of
from explorer.build.folder import write_folder
from explorer.build.next_study import Described, described, drive_toml, next_files
from explorer.build.parts import Part, parts_of
from explorer.build.plan import plan_svg
from explorer.build.sheet import sheet_html
from explorer.build.svg import svg_text
from explorer.build.table import parts_csv
from explorer.drives.exact_compare import breaks, compare
from explorer.drives.values import values_of
from explorer.scoring.limits import BY_ID
from explorer.scoring.open import SINGLE, Opened, open_drive, shelf_for
from explorer.scoring.score import Detail, detail, scores_of
from explorer.scoring.stops import STOPS, Clash, clashes
from explorer.show.proof import solved

_SHOWN = 6  # reasons told at once
_EXACT = {
    "tilt": ("a bar tilts past its stop", "°", 180.0 / np.pi),
    "lean": ("a link or strand leans further than allowed", "°", 180.0 / np.pi),
    "stroke": ("the wrist's travel does not reach", " mm", 1.0),
}


@dataclass(frozen=True)
class Packed:
    """What was written: the folder as resolved, file names in order, parts and pieces."""

    folder: Path
    files: tuple[str, ...]
    part_numbers: int
    pieces: int
    drawings: int


def pack(
    study: Study, chosen: Build | Opened, folder: Path, name: str = "", *, stops: int = STOPS
) -> Packed:
    """Writes the build pack of a drive of this study into `folder`.

    `chosen` is a build of the study, or an opened vector with its `name` (a keeper).  Raises
    `DoesNotFit` (and writes nothing), `BadInput`, `CannotWrite`.
    """
    build, opened = _chosen(study, chosen, name)
    d = detail(opened.space, opened.X)
    refuse_unfit(d, build.name, stops)
    parts = parts_of(d, left=study.brief.side == "left")
    drive = described(study, build, _values(opened))
    files = files_of(study, opened, d, drive, parts)
    written = write_folder(folder, files)
    drawn = sum(1 for p in parts if p.file)
    return Packed(written, tuple(files), len(parts), sum(p.count for p in parts), drawn)


def _chosen(study: Study, chosen: Build | Opened, name: str) -> tuple[Build, Opened]:
    if isinstance(chosen, Build):
        return chosen, open_drive(shelf_for(study), chosen)
    architecture = chosen.space.architecture
    build = Build(name or architecture, architecture, _values(chosen), {})  # type: ignore[arg-type]
    return build, chosen


def _values(opened: Opened) -> dict[str, float | str | bool | int]:
    """Values as scored, the finger that stands alone with them."""
    values = values_of(opened.space, opened.X[0])
    if len(opened.space.shelf.demand.fingers) == 3:
        values[SINGLE] = opened.space.single
    return values


def files_of(
    study: Study, opened: Opened, d: Detail, drive: Described, parts: Sequence[Part]
) -> Mapping[str, str]:
    """Every file of the pack: relative name and text."""
    brief = study.brief
    joints, chains = joints_of(d, parts), chains_of(d, parts)
    out = {"drive.toml": drive_toml(drive), "parts.csv": parts_csv(parts)}
    for part in parts:
        if part.file:
            drawing = drawing_of(part, drive.name, brief.hash6, brief.side)
            out[f"drawings/{part.file}.dxf"] = dxf_text(drawing)
            out[f"drawings/{part.file}.svg"] = svg_text(drawing)
    title = f"{drive.name}, brief {brief.hash6}: assembly"
    out["assembly.svg"] = plan_svg(d.pieces, parts, brief, title)
    out["build-sheet.html"] = sheet_html(d, opened.X, drive, parts, joints, chains)
    for name, text in next_files(study, opened.space, opened.X, drive).items():
        out[f"next/{name}"] = text
    return out


def refuse_unfit(d: Detail, name: str, stops: int = STOPS) -> None:
    """Raises `DoesNotFit` where a limit is broken, by the form that scores, the exact one, or on the way."""
    reasons = _limits(d) or _exact(d) or [_clash(c) for c in clashes(d, stops)]
    if reasons:
        more = f"\nand {len(reasons) - _SHOWN} more" if len(reasons) > _SHOWN else ""
        told = "\n".join(f"  {r}" for r in reasons[:_SHOWN])
        raise DoesNotFit(
            f"{short(name)} does not fit, so there is no build pack; nothing was written.\n{told}{more}"
        )


def _limits(d: Detail) -> list[str]:
    """Broken limits in their own units."""
    out: list[str] = []
    for key, slack in scores_of(d).slacks.items():
        value = float(slack[0])
        if not value >= 0.0:
            rule = BY_ID[key]
            out.append(f"{rule.question} No, by {-value:.3g} {rule.unit}. Eases it: {rule.ease}.")
    return out


def _exact(d: Detail) -> list[str]:
    """Limits that links and strands break at their true lengths."""
    demand, limits = d.space.shelf.demand, d.space.shelf.brief.limits
    exact = solved(d)
    unsolved = "Check leans: with links at their true lengths it cannot be solved, or goes slack"
    if exact is None:
        return [f"{unsolved}."]
    must = np.array([p.must for p in demand.positions])
    sound = exact.converged & exact.taut
    lost = [demand.positions[p].name for p in np.flatnonzero(must & ~sound)]
    if lost:
        return [f"{unsolved}, in {', '.join(lost)}."]
    witness = compare(d.drive, exact, d.motion)
    over = breaks(witness, must, limits.tilt, limits.lean, demand.stroke - float(d.play[0]))
    return [
        f"Check leans: with links at their true lengths {words}, by {getattr(over, key) * per:.2g}{unit}."
        for key, (words, unit, per) in _EXACT.items()
        if not getattr(over, key) <= 0.0
    ]


def _clash(c: Clash) -> str:
    where = f"stop {c.stop} of {c.stops - 1} on the way to {c.path}"
    return f"{c.a} comes within {c.gap:.2f} mm of {c.b} at {where}; {c.asked:g} mm is asked."
