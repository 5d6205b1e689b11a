"""What can be seen: nothing lies over anything, all can be read, nothing of a name runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from explorer.brief.read import Study
from explorer.report.write import write_report
from explorer.scoring.open import shelf_for
from tests.report.made import chance, result_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

Watch = Callable[..., Any]
COLOURS = ("color-contrast", "link-in-text-block")  # what axe runs of its own accord on colours
AXE = Path(__file__).parent / "vendor" / "axe.min.js"

OVERLAPS = """() => {
  const out = [];
  const boxes = (root, q) => Array.from(root.querySelectorAll(q)).filter((e) => e.checkVisibility() && e.textContent.trim())
    .map((e) => ({t: e.textContent, b: e.getBoundingClientRect()})).filter(({b}) => b.width > 0);
  for (const fig of document.querySelectorAll("svg.fig")) {
    const found = boxes(fig, "text");
    for (let i = 0; i < found.length; i++) for (let j = 0; j < i; j++) {
      const a = found[i].b, b = found[j].b;
      const x = Math.min(a.right, b.right) - Math.max(a.left, b.left), y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (x > 1 && y > 2) out.push(found[i].t + " over " + found[j].t + " in " + fig.getAttribute("aria-label"));
    }
  }
  return out;
}"""

OUTSIDE = """() => {
  const out = [];
  for (const fig of document.querySelectorAll("svg.fig")) {
    if (!fig.checkVisibility()) continue;
    const f = fig.getBoundingClientRect();
    for (const e of fig.querySelectorAll("text, .mark, .draw, .allowed, .gives, .step, .run, .band")) {
      if (!e.checkVisibility()) continue;
      const b = e.getBoundingClientRect();
      if (b.left < f.left - 1 || b.right > f.right + 1 || b.top < f.top - 1 || b.bottom > f.bottom + 1)
        out.push((e.textContent.slice(0, 40) || e.getAttribute("class")) + " outside " + fig.getAttribute("aria-label"));
    }
    const box = fig.viewBox.baseVal;
    for (const v of fig.querySelectorAll("svg.view")) {
      const at = ["x", "y", "width", "height"].map((n) => v[n].baseVal.value);
      const inside = at[0] + at[2] <= box.width + 0.1 && at[1] + at[3] <= box.height + 0.1;
      if (!inside || getComputedStyle(v).overflow !== "hidden") out.push("a view of " + fig.getAttribute("aria-label"));
    }
  }
  return out;
}"""

WORDS = """() => {
  const out = [], texts = [];
  const walk = document.createTreeWalker(document.querySelector("body"), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const n = walk.currentNode, e = n.parentElement;
    if (!n.textContent.trim() || !e.checkVisibility() || e.closest("svg, script, style, .sr, .skip, select, .scroll, .slide")) continue;
    const r = document.createRange();
    r.selectNodeContents(n);
    for (const b of r.getClientRects()) if (b.width > 0) texts.push({t: n.textContent.trim().slice(0, 30), b});
  }
  texts.sort((p, q) => p.b.top - q.b.top);
  for (let i = 0; i < texts.length; i++) for (let j = i + 1; j < texts.length && texts[j].b.top < texts[i].b.bottom - 6; j++) {
    const a = texts[i].b, b = texts[j].b;
    const x = Math.min(a.right, b.right) - Math.max(a.left, b.left), y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (x > 2 && y > 6) out.push(texts[i].t + " | " + texts[j].t);
  }
  return out;
}"""

OVERFLOW = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
A4 = 687  # px inside the margins of the sheet


@pytest.mark.parametrize(("width", "media"), [(1200, "screen"), (360, "screen"), (A4, "print")])
def test_no_text_over_text_and_no_mark_outside_its_frame(
    report: Path, watch: Watch, width: int, media: str
) -> None:
    page = watch(width).go(report)
    page.emulate_media(media=media)
    if media == "print":
        page.evaluate("() => dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(OVERLAPS) == []
    assert page.evaluate(OUTSIDE) == []
    assert page.evaluate(WORDS) == []
    assert page.evaluate(OVERFLOW) <= 0


@pytest.mark.parametrize("width", [1200, 360])
def test_many_held_drives_keep_their_letters_apart(report: Path, watch: Watch, width: int) -> None:
    page = watch(width).go(report)
    names = page.evaluate("() => [...R.data.order.slice(0, 4), ...R.data.olds]")
    page.goto(report.as_uri() + "#hold=" + "|".join(names))
    page.reload()
    assert page.evaluate("() => R.state.held") == names
    assert page.evaluate(OVERLAPS) == []
    assert page.evaluate(OUTSIDE) == []


def axe(page: Page, *rules: str) -> dict[str, Any]:
    """What axe says of a page; of these rules only, if any are named."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    options: dict[str, Any] = {"resultTypes": ["violations"]}
    options |= {"runOnly": [*rules]} if rules else {}
    found: dict[str, Any] = page.evaluate("(options) => axe.run(document, options)", options)
    return found


WHOLE = [("report", w, c) for w in (1200, 360) for c in ("light", "dark")]
SHORT = [("short_report", 1200, "light"), ("short_report", 360, "dark")]


@pytest.mark.parametrize(
    ("which", "width", "scheme"),
    [*SHORT, *(pytest.param(*w, marks=pytest.mark.long) for w in WHOLE)],
)
def test_axe_finds_nothing(
    request: pytest.FixtureRequest, watch: Watch, which: str, width: int, scheme: str
) -> None:
    """Both widths and both schemes by every rule.

    Of the whole page in the dark only what depends on colours, as the document is the same.
    """
    page = watch(width, scheme).go(request.getfixturevalue(which))
    page.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
    page.wait_for_selector("#digplot .main-svg")
    only = COLOURS if (which, scheme) == ("report", "dark") else ()
    found = axe(page, *only)
    told = [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found["violations"]]
    assert told == []
    passed = {p["id"] for p in found["passes"]}
    assert "color-contrast" in passed
    assert (len(passed) > 10) == (not only)


def test_axe_sees_a_fault(report: Path, watch: Watch) -> None:
    """The check itself can fail: an unnamed button is found, and grey words on grey."""
    page = watch().go(report)
    page.evaluate(
        "() => { const b = document.createElement('button');"
        " const p = document.createElement('p'); p.textContent = 'grey'; p.style = 'color: #777; background: #888';"
        " document.body.replaceChildren(b, p); }"
    )
    found = axe(page, "button-name", *COLOURS)
    assert {v["id"] for v in found["violations"]} == {"button-name", "color-contrast"}


PAYLOADS = (
    '</script><img src="http://x.invalid/a" onerror="window.ran=1">',
    '"><svg onload="window.ran=1"><script>window.ran=1</script>',
    "<foreignObject><iframe src='javascript:window.ran=1'>",
    "{{7*7}}${window.ran=1}<!--",
    "a\u2028b\u2029'); window.ran=1; ('",
    "<b>x</b><a href='javascript:window.ran=1'>y</a>",
)


@pytest.mark.parametrize(
    "nasty",
    [
        pytest.param("".join(PAYLOADS), id="all in one"),
        *(pytest.param(p, id=f"no. {n}", marks=pytest.mark.long) for n, p in enumerate(PAYLOADS)),
    ],
)
def test_hostile_names_run_nothing(study: Study, watch: Watch, tmp_path: Path, nasty: str) -> None:
    brief = study.brief
    fingers = (replace(brief.fingers[0], name=nasty), *brief.fingers[1:])
    grips = (replace(brief.grips[0], name=nasty), *brief.grips[1:])
    keepouts = tuple(replace(k, name=nasty) for k in brief.cavity.keepouts)
    builds = tuple(
        replace(
            b,
            name=f"{n}{nasty}",
            note=nasty,
            broke=b.broke and replace(b.broke, part=nasty, how=nasty),
        )
        for n, b in enumerate(study.builds)
    )
    bad = replace(
        study,
        name=nasty,
        currency=nasty,
        brief=replace(
            brief,
            name=nasty,
            fingers=fingers,
            grips=grips,
            cavity=replace(brief.cavity, keepouts=keepouts),
        ),
        builds=builds,
    )
    result = replace(chance(shelf_for(bad), each=1), name=nasty, asked=nasty)
    target = write_report(bad, result, tmp_path / "bad.html")
    w = watch()
    page = w.go(target)
    page.locator("#dig summary").click()
    page.wait_for_selector("#digplot .points path")
    page.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
    page.locator("#drivepick").select_option(f"0{nasty}")
    assert page.evaluate("() => window.ran") is None
    assert w.requests == [target.as_uri()]
    assert w.complaints == []
    assert (page.locator("h1").text_content() or "").strip().endswith(nasty)
    assert page.locator("img, iframe, foreignObject").count() == 0


@pytest.mark.parametrize(
    "state", ["nothing fits", "one fits", "running", "interrupted", "never run", "no old builds"]
)
def test_every_state_is_a_whole_page(
    study: Study, watch: Watch, tmp_path: Path, state: str
) -> None:
    full = chance(shelf_for(study), each=2)
    missed = [replace(k, fits=False, keeper=False) for k in full.keepers[:2]]
    made = {
        "nothing fits": result_of([], missed, full.brief_hash),
        "one fits": result_of(full.keepers[:1], full.misses, full.brief_hash),
        "never run": replace(
            result_of([], [], full.brief_hash, "never run"), progress=(), ledger=(), agreement=()
        ),
    }.get(
        state,
        result_of(
            full.keepers,
            full.misses,
            full.brief_hash,
            state if state in {"running", "interrupted"} else "done",
        ),
    )
    told = replace(study, builds=()) if state in {"no old builds", "never run"} else study
    target = write_report(told, made, tmp_path / "state.html")
    for width in (1200, 360):
        w = watch(width)
        page = w.go(target)
        assert w.complaints == []
        assert page.evaluate(OVERLAPS) == []
        assert page.evaluate(OUTSIDE) == []
        assert page.evaluate(WORDS) == []
        assert page.evaluate(OVERFLOW) <= 0
        assert page.locator("h2").count() >= 6
