"""The file formats for editors: JSON Schemas made from the same tables that check the files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from explorer.brief.builds import BuildsTable
from explorer.brief.schema_brief import BriefTable
from explorer.brief.schema_stock import StockTable

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from pydantic import BaseModel

Schema = dict[str, Any]

INCHES: Schema = {
    "description": "the same size in inches, as 0.125 or 1/8",
    "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string"}],
}


def brief_schema() -> Schema:
    """brief.toml.  A finger with `same_as` may leave out what the other finger says."""
    schema = _schema(BriefTable, "brief.toml")
    schema["$defs"]["FingerTable"]["required"] = ["name", "knuckle_x_mm"]
    return schema


def stock_schema() -> Schema:
    """stock.toml.  Each size in mm may stand in inches instead."""
    schema = _schema(StockTable, "stock.toml")
    for table in schema["$defs"].values():
        sizes = [k for k in table["properties"] if k.endswith("_mm")]
        sizes = [k for k in sizes if not k.endswith("per_mm") and k != "sheet_mm"]
        table["properties"] |= {f"{k[:-3]}_in": INCHES for k in sizes}
        table["required"] = [k for k in table.get("required", []) if k not in sizes]
    return schema


def drive_schema() -> Schema:
    """builds.toml, and a drive file."""
    return _schema(BuildsTable, "builds.toml")


SCHEMAS: Mapping[str, Callable[[], Schema]] = {
    "brief.schema.json": brief_schema,
    "stock.schema.json": stock_schema,
    "drive.schema.json": drive_schema,
}


def _schema(model: type[BaseModel], title: str) -> Schema:
    schema = model.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": title}


def as_text(schema: Schema) -> str:
    """The schema as it is packaged."""
    return json.dumps(schema, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


if __name__ == "__main__":  # renews the packaged files
    for file, made in SCHEMAS.items():
        (Path(__file__).parent / "data" / file).write_text(as_text(made()), encoding="utf-8")
