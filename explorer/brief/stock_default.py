"""Bearings of the stock that ships with the program, for a stock that has none."""

from __future__ import annotations

from functools import cache

from explorer.brief.parse import parse_text
from explorer.brief.stock_convert import to_stock
from explorer.brief.stock_read import read_stock_table
from explorer.brief.stock_records import Bearing
from explorer.brief.templates import template


@cache
def default_bearings() -> tuple[Bearing, ...]:
    """The lines, ratings from memory: shown as assumed."""
    table, _ = read_stock_table(parse_text(template("default_stock.toml"), "stock.toml"))
    return () if isinstance(table, list) else to_stock(table).bearings
