"""What is meant by a study, a drive, a file and key=value."""

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.errors import BadInput
from explorer.brief.read import Study
from explorer.show.facts import as_json, facts_of
from explorer.show.find import changes_of, drive_named, find, opened, study_folder, value_of
from tests.show.book import build_text


def drive_file(study: Study, path: Path, more: str) -> Path:
    build = study.builds[0]
    text = build_text(build.name, build.architecture, dict(build.values), more)
    path.write_text(f"schema = 1\n{text}", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("12.5", 12.5),
        ("12", 12),
        ("true", True),
        ('"pin 3"', "pin 3"),
        ("pin 3", "pin 3"),
        ("stainless", "stainless"),
        ("fine 3.75 (invented)", "fine 3.75 (invented)"),
        ("12,5", "12,5"),
        ("[1]", None),
        ("{a = 1}", None),
        ("1979-05-27", None),
        ("1\nw = 2", None),
        ("", None),
        ("9" * 30, None),
        ("a" * 201, None),
        ("a\x1b[31m", None),
        ('"\\u202E"', None),
    ],
)
def test_values_are_typed_as_toml_or_as_bare_words(typed: str, value: object) -> None:
    found = value_of(typed)
    assert found == value
    assert type(found) is type(value)


@given(st.text(max_size=40))
def test_any_text_is_a_plain_value_or_none(typed: str) -> None:
    assert value_of(typed) is None or isinstance(value_of(typed), (bool, int, float, str))


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_comes_through_unchanged(x: float) -> None:
    assert value_of(repr(x)) == x


@pytest.mark.parametrize("typed", ["bar", "=3", "a b=3", "plate=", "é=2", "--x=3"])
def test_what_is_no_change_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="--set"):
        changes_of([typed])


def test_a_key_given_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="given twice"):
        changes_of(["plate=1", "plate=2"])


def test_all_wrong_changes_are_told_at_once(study: Study) -> None:
    with pytest.raises(BadInput) as caught:
        opened(study, study.builds[0], ["plat=stainless", "plate=cheese", "doubled=nan"])
    assert {p.file for p in caught.value.problems} == {"--set"}
    assert {p.path for p in caught.value.problems} == {
        "values.plat",
        "values.plate",
        "values.doubled",
    }


def test_setting_every_value_to_itself_changes_no_bit(study: Study) -> None:
    build = study.builds[0]
    same = [f"{k}={v!r}" if not isinstance(v, str) else f"{k}={v}" for k, v in build.values.items()]
    assert as_json(facts_of(opened(study, build, same))) == as_json(facts_of(opened(study, build)))


def test_a_change_changes(study: Study) -> None:
    build = study.builds[0]
    other = "doubled" if build.values["doubled"] == "single" else "single"
    found = opened(study, build, [f"doubled={other}"])
    assert found.build.values["doubled"] == other
    assert build.values["doubled"] != other
    assert as_json(facts_of(found)) != as_json(facts_of(opened(study, build)))


def test_a_mistyped_drive_is_told_its_nearest_name(study: Study) -> None:
    name = study.builds[2].name
    with pytest.raises(BadInput, match=name):
        drive_named(study, name[:-1])


def test_a_drive_is_found_from_outside_and_from_inside_its_study(study: Study) -> None:
    name = study.builds[1].name
    outside = find([str(study.folder), name], [], Path())
    assert outside.build.name == name
    assert outside.study.brief.hash6 == study.brief.hash6


def test_a_folder_without_a_brief_is_no_study(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="evener start"):
        study_folder(None, tmp_path)


@pytest.mark.parametrize("depth", [0, 1, 3])
def test_a_drive_file_finds_its_study_in_a_folder_above(
    study: Study, tmp_path: Path, depth: int
) -> None:
    (tmp_path / "studies").mkdir()
    (tmp_path / "studies" / "oak").symlink_to(study.folder)
    below = tmp_path.joinpath(*["a"] * depth)
    below.mkdir(parents=True, exist_ok=True)
    file = drive_file(study, below / "drive.toml", 'study = "studies/oak"\n')
    found = find([str(file)], [], tmp_path)
    assert found.build.name == study.builds[0].name
    assert found.asked_hash is None


def test_a_drive_file_in_a_study_needs_no_name(study: Study) -> None:
    file = drive_file(study, study.folder / "drive.toml", "")
    try:
        assert find([str(file)], [], study.folder.parent).study.name == study.name
    finally:
        file.unlink()


def test_a_named_study_overrules_the_drive_file(study: Study, tmp_path: Path) -> None:
    file = drive_file(study, tmp_path / "drive.toml", 'study = "studies/gone"\n')
    with pytest.raises(BadInput, match="is not here"):
        find([str(file)], [], tmp_path)
    assert find([str(study.folder), str(file)], [], tmp_path).study.name == study.name


@pytest.mark.parametrize("trick", ["/etc", "../up", "C:/x", "a/../../b", "//host/share"])
def test_a_drive_file_leads_nowhere_else(study: Study, tmp_path: Path, trick: str) -> None:
    file = drive_file(study, tmp_path / "drive.toml", f'study = "{trick}"\n')
    with pytest.raises(BadInput, match="leads out"):
        find([str(file)], [], tmp_path)


def test_a_drive_of_another_brief_says_so(study: Study) -> None:
    old = dataclasses.replace(study.builds[0], brief_hash="0a0a0a")
    found = opened(study, old)
    assert found.asked_hash == "0a0a0a"
    same = dataclasses.replace(study.builds[0], brief_hash=study.brief.hash6)
    assert opened(study, same).asked_hash is None
    cautions = facts_of(found)["cautions"]
    assert isinstance(cautions, list)
    assert any("0a0a0a" in str(c) for c in cautions)
