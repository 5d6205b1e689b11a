"""What must agree in selector and wrist joint: grips by name, bearings by name, lists of one length."""

from __future__ import annotations

from typing import TYPE_CHECKING

from explorer.brief.explain import nearest
from explorer.brief.stock_read import line_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from explorer.brief.errors import Problem
    from explorer.brief.schema_brief import BriefTable
    from explorer.brief.schema_hand import StackTable
    from explorer.brief.schema_stock import StockTable
    from explorer.brief.tell import Teller


def selector_problems(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    """Grips of the selector that there are not, or that stand there twice, or are switched off."""
    if brief.selector is None:
        return
    names = [g.name for g in brief.grip]
    off = {g.name for g in brief.grip if not g.on}
    order = brief.selector.order
    for n, name in enumerate(order):
        loc = ("selector", "order", n)
        if name not in names:
            yield tell.wrong(
                loc,
                name,
                "there is no such grip.",
                allowed=", ".join(names),
                mend=nearest(name, names) or "Take it out.",
            )
        elif name in off:
            yield tell.wrong(
                loc, name, "is switched off.", mend="Take it out, or set on = true for it."
            )
        if name in order[:n]:
            yield tell.wrong(loc, name, "is there twice.", mend="Take one out.")


def joint_problems(brief: BriefTable, stock: StockTable | None, tell: Teller) -> Iterator[Problem]:
    """Bearings that the stock has not, and lists that do not fit each other."""
    if brief.wrist_joint is None:
        return
    lines = None if stock is None else [line_name("bearing", b) for b in stock.bearing]
    for n, stack in enumerate(brief.wrist_joint.stack):
        yield from _lists(n, stack, tell)
        for i, name in enumerate(stack.bearings):
            if lines is not None and name not in lines:
                yield tell.wrong(
                    ("wrist_joint", "stack", n, "bearings", i),
                    name,
                    "the stock has no such bearing.",
                    allowed=", ".join(lines) or "a [[bearing]] of the stock",
                    mend=nearest(name, lines) or "Add a [[bearing]] to stock.toml.",
                )


def _lists(n: int, stack: StackTable, tell: Teller) -> Iterator[Problem]:
    for key in ("at_mm", "play_mm"):
        values = getattr(stack, key)
        if values is not None and len(values) != len(stack.bearings):
            yield tell.wrong(
                ("wrist_joint", "stack", n, key),
                values,
                "one number for each bearing.",
                allowed=f"{len(stack.bearings)} numbers",
                mend="Count them.",
            )
