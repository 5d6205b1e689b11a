"""The schemas for editors are those of the program, and say yes where the program does."""

from __future__ import annotations

import tomllib
from typing import Any

import jsonschema
import pytest

from explorer.brief.jsonschema import SCHEMAS, as_text
from explorer.brief.templates import template
from tests.brief.conftest import ORCHARD

OF_FILE = {"brief.toml": "brief.schema.json", "stock.toml": "stock.schema.json",
           "builds.toml": "drive.schema.json"}  # fmt: skip


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_packaged_schema_is_current(name: str) -> None:
    """Renew with: python -m explorer.brief.jsonschema"""
    assert template(name) == as_text(SCHEMAS[name]())


@pytest.mark.parametrize("file", OF_FILE)
def test_good_files_are_good_to_an_editor_and_bad_ones_bad(file: str) -> None:
    values: dict[str, Any] = tomllib.loads((ORCHARD / file).read_text(encoding="utf-8"))
    schema = SCHEMAS[OF_FILE[file]]()
    jsonschema.Draft202012Validator.check_schema(schema)
    editor = jsonschema.Draft202012Validator(schema)
    assert editor.is_valid(values)
    assert not editor.is_valid({**values, "unknown": 1})
    assert not editor.is_valid({k: v for k, v in values.items() if k != "schema"})


def test_inches_are_good_to_an_editor() -> None:
    values = tomllib.loads((ORCHARD / "stock.toml").read_text(encoding="utf-8"))
    del values["pin"][0]["d_mm"]
    values["pin"][0]["d_in"] = "1/16"
    editor = jsonschema.Draft202012Validator(SCHEMAS["stock.schema.json"]())
    assert editor.is_valid(values)
