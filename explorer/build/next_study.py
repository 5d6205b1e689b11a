"""The drive's own file, and the next study seeded from it.

`start.toml` says where the next search begins.  Its format, version 1:

    schema = 1
    drive = "WC-09"              # the build of builds.toml that it begins with
    architecture = "chain_winder+chain"
    frozen = ["plate", "shaft"]  # keys that keep the drive's values; the maker adds and takes away
    [bounds]                     # what the search may try, in the keys' own units; others as always
    input_core_mm = [11.2, 13.6]

Choices (stock lines, ways of building) have no bounds: they are free unless frozen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath

import tomlkit
from tomlkit.items import Table as TomlTable

from explorer.brief.builds import Build, Value
from explorer.brief.files import read_toml_text
from explorer.brief.parse import LONGEST_STRING, character_fault
from explorer.brief.read import BRIEF, BUILDS, STOCK, Study
from explorer.brief.templates import template
from explorer.drives.assemble import Space
from explorer.mechanics.types import Floats

START = "start.toml"
NEAR = 0.15  # bounds reach this share of the searched range to both sides of the drive


@dataclass(frozen=True)
class Described:
    """A drive as files hold it: name, architecture, values by key, and for which study and brief."""

    name: str
    architecture: str
    values: Mapping[str, Value]
    study: str
    brief_hash: str
    note: str
    guessed: tuple[str, ...]


def described(study: Study, build: Build, values: Mapping[str, Value]) -> Described:
    """The drive with the values that were scored; a note is kept."""
    return Described(
        build.name, build.architecture, values, study_words(study), study.brief.hash6, build.note,
        tuple(k for k in build.guessed if k in values),
    )  # fmt: skip


def study_words(study: Study) -> str:
    """The study's folder as it was named, where a drive file may say so; else its name alone."""
    typed = study.folder.as_posix()
    parts = PurePosixPath(typed).parts
    plain = (
        bool(parts) and not study.folder.is_absolute() and ".." not in parts and "\\" not in typed
    )
    if plain and len(typed) <= LONGEST_STRING and character_fault(typed) is None:
        return typed
    return study.name


def drive_toml(drive: Described) -> str:
    """A drive file: the same block as an entry of builds.toml."""
    return _builds(drive, "One drive, described whole.  Sizes in the keys' units; choices by name.")


def builds_toml(drive: Described) -> str:
    """The build book of the next study: this drive alone."""
    return _builds(drive, "The build book of this study: drives that were made, newest last.")


def _builds(drive: Described, comment: str) -> str:
    doc = tomlkit.document()
    doc.add(tomlkit.comment(comment))
    doc.add("schema", tomlkit.item(1))
    entry = tomlkit.table()
    entry.add("name", drive.name)
    entry.add("architecture", drive.architecture)
    if drive.note:
        entry.add("note", drive.note)
    entry.add("study", drive.study)
    entry.add("brief_hash", drive.brief_hash)
    entry.add("guessed", list(drive.guessed))
    values = tomlkit.table()
    for key, value in drive.values.items():
        values.add(key, _exact(value))
    entry.add("values", values)
    builds = tomlkit.aot()
    builds.append(entry)
    doc.add("build", builds)
    return tomlkit.dumps(doc)


def _exact(value: Value) -> tomlkit.items.Item:
    """A value that reads back to the last bit; a float stays one ("12.0", "1e-05")."""
    if isinstance(value, float) and not isinstance(value, bool):
        return tomlkit.float_(repr(float(value)))
    return tomlkit.item(value)


def start_toml(space: Space, X: Floats, drive: Described) -> str:
    """Where the next search begins: the drive, and bounds about its sizes."""
    doc = tomlkit.document()
    doc.add(
        tomlkit.comment(
            "Where the next search begins: a drive of builds.toml, and bounds about its sizes."
        )
    )
    doc.add(
        tomlkit.comment(
            "Put keys into `frozen` to keep the drive's values; take bounds out to search the whole range."
        )
    )
    doc.add("schema", tomlkit.item(1))
    doc.add("drive", tomlkit.item(drive.name))
    doc.add("architecture", tomlkit.item(drive.architecture))
    doc.add("frozen", tomlkit.item([]))
    bounds: TomlTable = tomlkit.table()
    for key, (low, high) in near_bounds(space, X).items():
        bounds.add(key, [low, high])
    doc.add("bounds", bounds)
    return tomlkit.dumps(doc)


def near_bounds(space: Space, X: Floats) -> dict[str, tuple[float, float]]:
    """Narrowed bounds: the searched range's share `NEAR` to both sides, never beyond that range.

    A drive that was built outside the range keeps itself inside its bounds.
    """
    out: dict[str, tuple[float, float]] = {}
    for j, v in enumerate(space.variables):
        x, by = float(X[0, j]), NEAR * (v.high - v.low)
        if v.kind == "real":
            low, high = max(v.low, x - by), min(v.high, x + by)
            out[v.key] = (min(_down(low), x), max(_up(high), x))
        elif v.kind == "whole":
            by = max(1.0, math.floor(by))
            out[v.key] = (min(max(v.low, x - by), x), max(min(v.high, x + by), x))
    return out


def _down(value: float) -> float:
    return math.floor(value * 100.0) / 100.0


def _up(value: float) -> float:
    return math.ceil(value * 100.0) / 100.0


def next_files(study: Study, space: Space, X: Floats, drive: Described) -> dict[str, str]:
    """Name and text of every file of the next study."""
    stock = (
        read_toml_text(study.folder / STOCK) if study.stock_file else template("default_stock.toml")
    )
    return {
        BRIEF: read_toml_text(study.folder / BRIEF),
        STOCK: stock,
        BUILDS: builds_toml(drive),
        START: start_toml(space, X, drive),
    }
