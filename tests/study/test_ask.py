"""How long, which seed, how many: what is taken and what is refused."""

import pytest

from explorer.brief.errors import BadInput
from explorer.study.ask import Ask, ask_of, round_of, seconds_words


def test_what_is_taken() -> None:
    assert ask_of(None, None, None, None) == Ask()
    assert ask_of("1h30m", None, "0", "2") == Ask(None, 5400.0, 0, 2)
    assert ask_of(None, "200,000", str(2**63 - 1), None) == Ask(200_000, None, 2**63 - 1)
    assert ask_of("0.5m", None, None, None).seconds == 30.0
    assert round_of("12") == 12
    assert [ask_of(None, None, None, None, n).algorithm for n in ("nsga2", "Sms", "AGE2", "gdE3")] == [
        "NSGA2", "SMS", "AGE2", "GDE3",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("option", "typed"),
    [
        *(
            ("--evaluations", v)
            for v in ("0", "-1", "1000000000000000000", "1.5", "many", "", "１２", "nan")
        ),
        *(("--workers", v) for v in ("0", "1000000", "-2", "two")),
        *(("--seed", v) for v in ("-1", str(2**70), "1.5", "1e3")),
        *(("--algorithm", v) for v in ("NSGA3", "", "islands", "nsga2 ", "ſms", "x" * 10_000)),
        *(
            ("--for", v)
            for v in ("", "5", "0s", "-2m", "8 h", "1e9d", "m", "until 06:00", "9" * 30 + "d")
        ),
    ],
)
def test_what_is_refused(option: str, typed: str) -> None:
    at = ("--for", "--evaluations", "--seed", "--workers", "--algorithm").index(option)
    given = [None if i != at else typed for i in range(5)]
    with pytest.raises(BadInput) as refused:
        ask_of(*given)
    assert [p.file for p in refused.value.problems] == [option]
    assert all(p.allowed and p.mend for p in refused.value.problems)


def test_all_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        ask_of("soon", None, "-1", "0", "sga2")
    told = [p.file for p in refused.value.problems]
    assert told == ["--algorithm", "--for", "--seed", "--workers"]
    assert "NSGA2, GDE3, AGE2, SMS" in str(refused.value)
    assert 'Did you mean "NSGA2"?' in str(refused.value)


def test_two_lengths_are_one_too_many() -> None:
    with pytest.raises(BadInput, match="beside"):
        ask_of("2m", "1000", None, None)


@pytest.mark.parametrize(
    ("seconds", "said"), [(90, "1m30s"), (28800, "8h"), (60, "1m"), (90061, "1d1h1m1s")]
)
def test_lengths_in_words(seconds: float, said: str) -> None:
    assert seconds_words(seconds) == said
    assert ask_of(said, None, None, None).seconds == seconds
