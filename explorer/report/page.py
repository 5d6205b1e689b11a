"""From content to one HTML text: template, sheet, scripts with their hashes, data with its escapes."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import cache
from importlib.resources import files
from xml.etree.ElementTree import Element

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from explorer.brief.shell import quoted
from explorer.report import svg
from explorer.report.contents import contents
from explorer.report.data import page_data
from explorer.report.gather import Gathered

NAME = re.compile(r"\b[LWD][BC]-\d+\b")
_ESCAPES = {c: f"\\u{ord(c):04x}" for c in "<>&\u2028\u2029"}


def page(g: Gathered, csv_name: str) -> str:
    """The whole page."""
    scripts = [_asset("page.js"), _asset("move.js"), _asset("dig.js")]
    plotly = _plotly()
    inside = contents(g, csv_name)
    data = as_json(page_data(g, inside))
    return (
        _environment()
        .get_template("page.html")
        .render(
            **inside,
            css=_as_it_is(_asset("page.css")),
            scripts=[_as_it_is(s) for s in scripts],
            plotly=_as_it_is(plotly),
            policy=policy([*scripts, plotly]),
            data=_as_it_is(data),
        )
    )


def _as_it_is(ours: str) -> Markup:
    """Our own sheet and scripts, and data whose < > & are escaped: nothing of the study's as markup."""
    return Markup(ours)  # noqa: S704


def policy(scripts: list[str]) -> str:
    """The content-security policy: nothing from anywhere, these scripts alone."""
    allowed = " ".join(f"'{_hash(s)}'" for s in scripts)
    return (
        f"default-src 'none'; script-src {allowed}; style-src 'unsafe-inline'; img-src data: blob:; "
        "font-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def as_json(data: object) -> str:
    """Data for a script block; what could end the block or a line is escaped, what is not finite raises."""
    text = json.dumps(data, allow_nan=False, ensure_ascii=False, separators=(",", ":"))
    for character, escaped in _ESCAPES.items():  # a megabyte: by a table it takes ten times as long
        text = text.replace(character, escaped)
    return text


def _asset(name: str) -> str:
    return (files("explorer.report") / "assets" / name).read_text(encoding="utf-8")


def _plotly() -> str:
    """The plotting library's own script; nothing in it may end the block that holds it."""
    from plotly.offline import get_plotlyjs  # noqa: PLC0415 - heavy, and only this page needs it

    source = str(get_plotlyjs())
    return source.replace("</script", "<\\/script").replace("<!--", "<\\!--")


@cache
def _environment() -> Environment:
    """The templates, compiled once a process."""
    env = Environment(
        loader=PackageLoader("explorer.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["named"] = named
    env.filters["drawn"] = drawn
    env.filters["quoted"] = quoted
    return env


def named(words: str) -> Markup:
    """Prose with the names of drives kept on one line."""
    out, last = Markup(""), 0
    for found in NAME.finditer(words):
        out += escape(words[last : found.start()]) + Markup('<span class="name">{}</span>').format(
            found.group()
        )
        last = found.end()
    return out + escape(words[last:])


def drawn(figure: Element) -> Markup:
    """A figure as part of the page."""
    return Markup(svg.written(figure))  # noqa: S704 - written by ElementTree, which escapes
