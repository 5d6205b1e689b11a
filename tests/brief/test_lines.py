"""The line finder agrees with the standard parser on what there is, and with the text on where."""

from __future__ import annotations

import tomllib
from typing import Any

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.parse import parse_file, parse_text
from explorer.brief.read import read_study
from explorer.brief.templates import template
from explorer.brief.toml_lines import Loc, lines_of
from tests.brief.conftest import ORCHARD

KEYS = st.from_regex(r"[A-Za-z0-9_-]{1,8}", fullmatch=True)
SCALARS = st.one_of(
    st.integers(-(10**9), 10**9),
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=20),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(KEYS, inner, max_size=4)),
    max_leaves=12,
)


def places(value: object, loc: Loc = ()) -> set[Loc]:
    found = {loc} if loc else set()
    if isinstance(value, dict):
        for key, inside in value.items():
            found |= places(inside, (*loc, key))
    elif isinstance(value, list):
        for n, inside in enumerate(value):
            found |= places(inside, (*loc, n))
    return found


def depth(value: object) -> int:
    if isinstance(value, dict):
        return 1 + max((depth(v) for v in value.values()), default=0)
    if isinstance(value, list):
        return 1 + max((depth(v) for v in value), default=0)
    return 0


@given(st.dictionaries(KEYS, VALUES, max_size=6).filter(lambda d: depth(d) <= 6))
def test_every_place_of_any_document_is_found(values: dict[str, Any]) -> None:
    text = tomlkit.dumps(values)
    assert set(lines_of(text)) == places(tomllib.loads(text))


def test_every_place_of_the_real_files_is_found_on_a_line_that_names_it() -> None:
    texts = [template(n) for n in ("brief.toml", "default_stock.toml", "builds.toml")]
    texts += [p.read_text(encoding="utf-8") for p in sorted(ORCHARD.glob("*.toml"))]
    assert len(texts) == 6
    for text in texts:
        found, rows = lines_of(text), text.split("\n")
        assert set(found) == places(tomllib.loads(text))
        for loc, line in found.items():
            named = (
                loc[-1]
                if isinstance(loc[-1], str)
                else next(s for s in reversed(loc) if isinstance(s, str))
            )
            assert named in rows[line - 1]


TRICKY = '''
# a = 1
a = "# no comment = 1" # b = 2
b = """
c = 1
""" # c = 2
'd.e' = [ # [[f]]
  1, # one
  { x = "]", y = [2, 3] },
]
[g]
h.i = 1
[[j]]
k = 1
[[j]]
k = """"quoted""""
[j.l]
m = 2
'''


def test_tricky_text() -> None:
    found = lines_of(TRICKY)
    assert set(found) == places(tomllib.loads(TRICKY))
    expected: dict[Loc, int] = {
        ("a",): 3,
        ("b",): 4,
        ("d.e", 0): 8,
        ("d.e", 1, "y", 1): 9,
        ("g", "h", "i"): 12,
        ("j", 0, "k"): 14,
        ("j", 1, "k"): 16,
        ("j", 1, "l", "m"): 18,
    }
    assert {loc: found[loc] for loc in expected} == expected


def test_paths_go_by_name_where_there_is_one() -> None:
    parsed = parse_text('[[f]]\nname = "ring"\nx = 1\n[[f]]\nx = 2\n', "b.toml")
    assert parsed.path(("f", 0, "x")) == "f.ring.x"
    assert parsed.path(("f", 1, "x")) == "f[2].x"
    assert parsed.line(("f", 1, "nothing")) == 4


def test_a_file_that_was_read_is_left_as_it_was_parsed() -> None:
    """A text is parsed once for all who read it, so none of them may change what it holds."""
    files = [ORCHARD / f"{name}.toml" for name in ("brief", "stock", "builds")]
    before = [parse_file(f) for f in files]
    first = read_study(ORCHARD)
    for file, parsed in zip(files, before, strict=True):
        assert parse_file(file) is parsed
        assert parsed.raw == tomllib.loads(file.read_text(encoding="utf-8"))
    assert read_study(ORCHARD) == first
