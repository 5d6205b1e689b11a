"""The page says what the study's data says, names only drives that exist, and lets nothing else in."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html import unescape

import pytest

from explorer.report.gather import Gathered
from explorer.report.page import as_json, named, page
from explorer.report.story import headline
from explorer.show.blocks import Say
from explorer.show.doubt import doubt_blocks
from explorer.show.facts import words_of
from explorer.show.layout import DIGITS, table_of
from explorer.show.service import service_blocks
from explorer.show.working import redone
from explorer.study.words import not_settled, percent
from tests.report.reading import seen


def test_every_drive_named_exists(html: str, gathered: Gathered) -> None:
    known = {e.name for e in (*gathered.keepers, *gathered.others)}
    found = seen(html).drives
    assert found
    assert found <= known


def test_the_keepers_in_the_table_are_those_of_the_study(html: str, gathered: Gathered) -> None:
    rows = seen(html).rows
    shown = [n for n in rows if n not in {b.name for b in gathered.builds}]
    assert shown == [k.name for k in gathered.keepers]
    assert {k.name for k in gathered.result.keepers} == set(shown)


def test_numbers_in_the_table_are_the_studys_rounded_once(html: str, gathered: Gathered) -> None:
    rows = seen(html).rows
    checked = 0
    for k in gathered.result.keepers:
        for rule, told in zip(gathered.aims, rows[k.name][1:], strict=True):
            value = k.aims[rule.name]
            if told == "no end in sight":
                assert value == float("inf")
                continue
            half = 0.5 * 10.0 ** -DIGITS[rule.unit]
            assert abs(float(told.replace("−", "-")) - value) <= half * (1.0 + 1e-9)
            checked += 1
    assert checked >= 3 * len(gathered.keepers)


def test_the_first_to_give_is_worked_out_as_show_tells_it(html: str, gathered: Gathered) -> None:
    page, checked = unescape(html), 0
    for name, whole in gathered.whole.items():
        if f'data-ladder="{name}"' not in page:
            continue
        first = table_of(whole.facts["first_to_give"])["working"]
        assert isinstance(first, dict)
        for line in redone(first):
            assert f"{line.symbol} = {line.formula} = {line.numbers} = <b>{line.result}</b>" in page
            checked += 1
        assert f"Source: {first['source']}." in page
    assert checked


def test_blocks_of_show_are_tables_and_paragraphs(html: str, gathered: Gathered) -> None:
    page, checked = unescape(html).replace("±", "+-"), 0
    for name, whole in gathered.whole.items():
        if f'aria-label="Care of {name}"' not in page:
            continue
        for block in (*service_blocks(whole.facts), *doubt_blocks(whole.facts)):
            if isinstance(block, Say):
                assert block.text in page
            else:
                assert all(f">{cell}</t" in page for row in block.rows for cell in row)
            checked += 1
    assert checked


def test_numbers_in_the_data_are_the_studys_own(html: str, gathered: Gathered) -> None:
    drives = seen(html).data["drives"]
    for k in (*gathered.result.keepers, *gathered.result.misses):
        told = drives[k.name]["aims"]
        assert {n: v for n, v in told.items() if v is not None} == {
            n: v for n, v in k.aims.items() if v not in {float("inf"), float("-inf")}
        }


def test_no_keeper_that_is_shown_is_beaten_by_another(gathered: Gathered) -> None:
    def counts(e: object) -> list[float]:
        out = []
        for a in gathered.aims:
            value = e.aims[a.name]  # type: ignore[attr-defined]
            value = min(value, gathered.enough.get(a.name, float("inf"))) if a.more else value
            out.append(value if a.more else -value)
        return out

    rows = [counts(e) for e in gathered.keepers]
    for i, a in enumerate(rows):
        for j, b in enumerate(rows):
            beaten = i != j and all(y >= x for x, y in zip(a, b, strict=True)) and a != b
            assert not beaten


def test_the_policy_allows_the_pages_own_scripts_and_nothing_else(html: str) -> None:
    page = seen(html)
    policy = next(
        a["content"] for tag, a in page.tags if a.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy is not None
    assert policy.startswith("default-src 'none'; script-src ")
    allowed = set(re.findall(r"'sha256-([^']+)'", policy))
    for attrs, text in page.scripts:
        assert "src" not in attrs
        if attrs.get("type") == "application/json":
            continue
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert digest in allowed
    assert "unsafe-eval" not in policy
    assert "unsafe-inline" not in policy.split("script-src")[1].split(";")[0]


def test_the_policy_stands_before_anything_that_could_run(html: str) -> None:
    first = [tag for tag, _ in seen(html).tags][:4]
    assert first == ["html", "head", "meta", "meta"]


def test_the_page_names_no_address(html: str) -> None:
    """A page that fetches nothing has no src, no link element and no address in an attribute."""
    for tag, attrs in seen(html).tags:
        assert tag not in {"link", "iframe", "img", "object", "embed", "base"}
        assert "src" not in attrs
        assert not any(v and re.match(r"(https?:)?//", v) for n, v in attrs.items() if n != "xmlns")


def test_data_cannot_end_its_block_or_a_line() -> None:
    nasty = {"a": "</script><!--&", "b": "\u2028\u2029"}
    text = as_json(nasty)
    assert not set(text) & set("<>&\u2028\u2029")
    assert json.loads(text) == nasty
    with pytest.raises(ValueError, match="JSON"):
        as_json({"a": float("nan")})


def test_names_in_prose_are_marked_and_the_rest_escaped() -> None:
    assert str(named("<b>WC-09</b>")) == '&lt;b&gt;<span class="name">WC-09</span>&lt;/b&gt;'


@pytest.mark.parametrize("section", ["next", "brief", "kinds", "trade", "beside", "move", "gives", "old", "hard", "left"])  # fmt: skip
def test_every_section_is_there_with_a_question(html: str, section: str) -> None:
    ids = [a.get("id") for tag, a in seen(html).tags if tag == "section"]
    assert section in ids


def test_old_builds_stand_in_every_figure(html: str, gathered: Gathered) -> None:
    """Each strip and each pair has a mark for each old build, where it has a value."""
    for kind in ("strip", "pair"):
        figures = re.findall(rf'<svg[^>]*class="fig {kind}".*?</svg>', html, flags=re.DOTALL)
        assert figures
        for figure in figures:
            assert figure.count('class="mark old"') == len(gathered.builds)


def test_the_part_that_broke_is_marked_on_its_ladder(html: str) -> None:
    assert html.count("this broke") >= 1


def test_a_left_hand_is_drawn_mirrored(html: str, gathered: Gathered) -> None:
    assert gathered.study.brief.side == "left"
    assert 'transform="scale(-1 -1)"' in html


@pytest.mark.parametrize(
    ("settled", "at", "head"),
    [
        (False, 0, "rough: the search had not settled"),
        (False, 2_000_000, "settled after 2.0 million drives, then came upon more"),
        (True, 2_000_000, "settled"),
    ],
)
def test_head_and_section_13_tell_of_settling_what_the_run_did(
    gathered: Gathered, settled: bool, at: int, head: str
) -> None:
    result = replace(gathered.result, state="done", settled=settled, settled_at=at)
    g = replace(gathered, result=result)
    assert headline(g).startswith(head)
    told = " ".join(" ".join(seen(page(g, "x.csv")).words).split())
    own = told[told.index("Did it look hard enough?", told.index("What should I build")) :]
    assert head in told
    assert (not_settled(result) in own) == (not settled)


def test_which_kinds_have_settled_is_told(html: str, gathered: Gathered) -> None:
    told = " ".join(" ".join(seen(html).words).split())
    table = told[told.index("Table 13b") : told.index("Table 14")]
    for c in gathered.result.covered:
        shares = (
            ("-", "-")
            if c.growth is None or c.apart is None
            else (percent(c.growth), percent(c.apart))
        )
        end = "settled" if c.settled else "not yet"
        assert " ".join((words_of(c.architecture), *shares, end)) in table
    assert gathered.result.covered
