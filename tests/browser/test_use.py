"""The page in use, by mouse and by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

Watch = Callable[..., Any]
HELD = "() => R.state.held.slice()"


def held(page: Page) -> list[str]:
    return list(page.evaluate(HELD))


def test_it_opens_from_a_file_and_asks_for_nothing(report: Path, watch: Watch) -> None:
    w = watch()
    page = w.go(report)
    page.locator("#dig summary").click()
    page.wait_for_selector("#digplot .main-svg")
    assert w.requests == [report.as_uri()]
    assert w.complaints == []


def test_holding_by_mouse_marks_every_figure_and_stands_in_the_address(
    report: Path, watch: Watch
) -> None:
    page = watch().go(report)
    name = page.locator("#keepers .hold[aria-pressed=false]").first.get_attribute("data-hold")
    page.locator(f'#keepers [data-hold="{name}"]').click()
    assert name in held(page)
    assert name in page.evaluate("() => new URLSearchParams(location.hash.slice(1)).get('hold')")
    for figure in ("svg.strip:visible", "svg.pair:visible"):
        every = page.locator(figure)
        assert every.count() >= 3
        for i in range(every.count()):
            assert every.nth(i).locator(f'.mark.held[data-drive="{name}"]').count() == 1
    assert name in page.locator("#besidetable thead").inner_text()
    page.reload()
    assert name in held(page)


def test_holding_by_keyboard_on_a_strip(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    page.keyboard.press("Escape")
    assert held(page) == []
    strip = page.locator("svg.strip:visible").first
    assert strip.locator('.mark[tabindex="0"]').count() == 1
    strip.locator('.mark[tabindex="0"]').focus()
    page.keyboard.press("ArrowRight")
    here = page.evaluate("() => document.activeElement.dataset.drive")
    page.keyboard.press("Enter")
    assert held(page) == [here]
    page.keyboard.press("Enter")
    assert held(page) == []


def test_holding_is_a_real_button_on_space(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    page.keyboard.press("Escape")
    button = page.locator("#keepers .hold").first
    button.focus()
    page.keyboard.press("Space")
    assert held(page) == [button.get_attribute("data-hold")]
    assert button.get_attribute("aria-pressed") == "true"


def test_filters_by_mouse_and_keyboard(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    order = page.evaluate("() => R.data.order")
    page.locator("[name=family][value=winder]").click()
    left = [n for n in order if not n.startswith("W")]
    assert page.locator("#count").inner_text().startswith(f"{len(left)} of {len(order)} left")
    shown = page.locator("#keepers tbody tr:visible:not(.oldrow)")
    assert shown.count() == len(left)
    page.locator("[data-aim=pieces][data-end=high]").focus()
    page.keyboard.type("60")
    pieces = page.evaluate(
        "() => Object.fromEntries(R.data.order.map((n) => [n, R.data.drives[n].aims.pieces]))"
    )
    few = [n for n in left if pieces[n] <= 60]
    assert page.locator("#count").inner_text().startswith(f"{len(few)} of {len(order)} left")
    assert "pieces at most 60" in page.locator("#count").inner_text()
    page.reload()
    assert page.locator("#count").inner_text().startswith(f"{len(few)} of {len(order)} left")
    page.locator("#clear").click()
    assert page.locator("#count").inner_text().startswith(f"{len(order)} of {len(order)} left")


def test_sorting_by_a_heading(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    heading = page.locator("#keepers [data-sort]", has_text="pieces")
    heading.locator("button").click()
    names = page.eval_on_selector_all("#keepers tbody tr", "rows => rows.map(r => r.dataset.drive)")
    values = page.evaluate("(names) => names.map(n => R.data.drives[n].aims.pieces)", names)
    assert values == sorted(values)
    assert heading.get_attribute("aria-sort") == "ascending"


def test_swaps_tell_the_difference_of_the_data(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    names = held(page)
    told = page.locator("#swaps li").first.inner_text()
    assert told.startswith(f"{names[1]} instead of {names[0]}: ")
    a, b = (page.evaluate("n => R.data.drives[n].aims.pieces", n) for n in (names[1], names[0]))
    if a != b:
        assert f"{'+' if a > b else '−'}{abs(a - b):.0f} pieces" in told
    else:
        assert "no real difference" in told
    assert len(names) == 3


def test_the_slider_moves_the_drive_by_arrows_page_home_and_end(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    slider = page.locator("#stop")
    grip = page.evaluate("() => R.data.motion[R.data.start].grips[0]")
    slider.focus()
    page.keyboard.press("Home")
    assert slider.input_value() == "0"
    assert slider.get_attribute("aria-valuetext") == grip["stops"][0]["t"]
    shape = "() => Array.from(document.querySelectorAll('#drawing .piece')).map(e => e.getAttribute('d') || e.getAttribute('y')).join()"
    before = page.evaluate(shape)
    page.keyboard.press("PageUp")
    assert slider.input_value() == "5"
    page.keyboard.press("ArrowRight")
    assert slider.input_value() == "6"
    assert page.evaluate(shape) != before
    page.keyboard.press("End")
    last = len(grip["stops"]) - 1
    assert slider.input_value() == str(last)
    closed = page.evaluate(shape)
    page.keyboard.press("ArrowLeft")
    assert page.evaluate(shape) == closed  # squeezing: nothing moves, the pull does
    assert grip["stops"][last - 1]["t"] == page.locator("#stoptext").inner_text()
    assert f"stop={last - 1}" in page.url


def test_loads_on_the_page_are_those_of_the_data(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    start = page.evaluate("() => R.data.start")
    grip = page.evaluate("() => R.data.motion[R.data.start].grips[0]")
    parts = page.evaluate("() => R.data.motion[R.data.start].parts")
    rows = page.eval_on_selector_all(
        "#loads tr", "rows => rows.map(r => [r.dataset.key, r.cells[1].textContent])"
    )
    told = dict(rows)
    assert set(told) == {p["key"] for p in parts}
    for p in parts:
        full = p["loads"].get(grip["at"])
        unit = "N·mm" if p["unit"] == "N*mm" else "N"
        number, _, said = told[p["key"]].partition(" ")
        assert said == unit
        assert abs(float(number) - full) <= 0.5 + 1e-9
    assert start


def test_the_script_draws_what_python_drew(report: Path, watch: Watch) -> None:
    """The outline of every piece, from the same numbers by two writers."""
    bare = watch(scripts=False).go(report)
    draw = "svg.drive >> nth=0"
    assert bare.locator(draw).count() == 1
    plain = bare.locator("#drawing .view").first.locator("path").element_handles()
    drawn = [e.get_attribute("d") for e in plain]
    page = watch().go(report)
    moved = page.eval_on_selector_all(
        "#drawing .view:first-of-type path", "es => es.map(e => e.getAttribute('d'))"
    )

    def close(a: str, b: str) -> bool:
        import re

        x, y = ([float(v) for v in re.findall(r"-?\d+\.?\d*", t)] for t in (a, b))
        return len(x) == len(y) and all(abs(p - q) < 0.03 for p, q in zip(x, y, strict=True))

    assert len(moved) == len(drawn) > 5
    assert all(close(a or "", b or "") for a, b in zip(drawn, moved, strict=True))


def test_the_grip_picker_by_mouse_and_keyboard(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    grips = page.evaluate("() => R.data.motion[R.data.start].grips.map(g => g.name)")
    assert len(grips) > 1
    page.locator("#grippick").select_option("1")
    assert grips[1] in page.locator("#loadsat").inner_text()
    page.locator("#grippick").focus()
    page.keyboard.press("ArrowUp")
    assert grips[0] in page.locator("#loadsat").inner_text()


def test_another_drive_in_motion(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    for name in page.evaluate("() => Object.keys(R.data.motion)"):
        page.locator("#drivepick").select_option(name)
        assert page.locator("#stagename").inner_text() == name
        assert page.locator("#drawing .piece").count() > 10
    w = watch()
    again = w.go(report, page.url.partition(".html")[2])
    assert again.locator("#stagename").inner_text() == name
    assert w.complaints == []


def test_a_pin_tells_its_load_by_mouse_and_keyboard(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    first = page.locator('#drawing .piece.tap[tabindex="0"]')
    assert first.count() == 1
    first.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    assert "Load now" in page.locator("#picked").inner_text()
    assert page.locator("#loads tr.picked").count() == 1
    part = page.locator("#loads tr.picked th").inner_text()
    assert part in page.locator("#picked").inner_text()
    page.keyboard.press("Enter")
    assert page.locator("#loads tr.picked").count() == 0
    page.locator("#loads tr").nth(1).click()
    assert page.locator("#loads tr.picked").count() == 1
    assert page.locator("#drawing .piece.picked").count() >= 0
    page.evaluate(
        "() => document.querySelector('#drawing path.tap').dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    assert "Load now" in page.locator("#picked").inner_text()


def test_the_plotting_library_starts_only_when_opened_and_turns(report: Path, watch: Watch) -> None:
    w = watch()
    page = w.go(report)
    assert page.evaluate("() => typeof window.Plotly") == "undefined"
    page.locator("#dig summary").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#digplot .points path")
    places = "() => Array.from(document.querySelectorAll('#digplot .points path')).map(e => e.getAttribute('transform')).join()"
    before = page.evaluate(places)
    page.locator("#digturn").focus()
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    assert page.locator("#digangle").inner_text() == "30°"
    assert page.evaluate(places) != before
    page.locator("#digx").select_option("2")
    everything = page.locator("#digplot .points path").count()
    page.locator("#digplot .legendtoggle").first.click()
    page.wait_for_timeout(600)  # the library waits for a double click
    assert page.locator("#digplot .points path").count() < everything
    assert page.locator("#digplot canvas").count() == 0
    assert w.complaints == []


def test_the_plotted_front_can_be_saved(report: Path, watch: Watch) -> None:
    page = watch().go(report)
    page.locator("#dig summary").click()
    page.wait_for_selector("#digplot .points path")
    page.locator("#digplot").hover()
    with page.expect_download() as saved:
        page.locator('#digplot [data-title^="Download plot"]').click()
    assert saved.value.suggested_filename == "front.svg"


def test_it_reads_fully_without_script(report: Path, watch: Watch) -> None:
    page = watch(scripts=False).go(report)
    assert page.locator("#keepers tbody tr:visible").count() > 5
    assert page.locator(".js:visible").count() == 0
    assert page.locator("#besidetable tbody tr").count() >= 3
    assert page.locator("#move .still:visible").count() >= 4


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_dark_and_light_follow_the_reader_and_print_is_light(
    report: Path, watch: Watch, scheme: str
) -> None:
    page = watch(scheme=scheme).go(report)
    paper = "() => getComputedStyle(document.body).backgroundColor"
    light = "rgb(251, 250, 245)"
    assert (page.evaluate(paper) == light) == (scheme == "light")
    page.emulate_media(media="print", color_scheme=scheme)  # type: ignore[arg-type]
    assert page.evaluate(paper) == light
