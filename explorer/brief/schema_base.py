"""What all files of a study share: strict tables, numbers with a unit and a range, clean names."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import PydanticUndefined

Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"\S")]
Note = Annotated[str, Field(max_length=4000)]
Have = Literal["own", "make", "buy"]


class Table(BaseModel):
    """A table of a file: no key but those named, no number given as text."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


def quantity(
    unit: str,
    low: float,
    high: float,
    words: str,
    *,
    default: Any = PydanticUndefined,  # noqa: ANN401  # pydantic takes any default
    above: bool = False,
) -> Any:  # noqa: ANN401  # stands where a number's default stands
    """A number in `unit` from `low` (or above it) to `high`; `words` say what it is.

    The ranges are wide: they hold every hand and shop that we can think of (judgement, no source) and
    are there to catch a wrong unit, not to design by.
    """
    lower: dict[str, Any] = {"gt": low} if above else {"ge": low}
    return Field(
        default,
        le=high,
        description=words,
        json_schema_extra={"unit": unit},
        **lower,
    )


def length(words: str, low: float, high: float, **more: Any) -> Any:  # noqa: ANN401  # as quantity
    """A length in mm, never zero."""
    return quantity("mm", low, high, words, **more)


def place(words: str, **more: Any) -> Any:  # noqa: ANN401  # as quantity
    """A coordinate in mm in the hand frame."""
    return quantity("mm", -300.0, 300.0, words, **more)
