from __future__ import annotations

import os
from pathlib import Path

import pytest

import stories
from guyline.errors import PlanFileError
from guyline.services.plan_files import load_plan, plan_from_bytes, plan_to_bytes

WHOLE = plan_to_bytes(stories.three_sites())


def with_earth_k(text: str) -> bytes:
    return b'{"format": 1, "plan": {"earth_k": ' + text.encode() + b"}}"


HOSTILE = {
    "NaN": (with_earth_k("NaN"), "must be a finite number, but is NaN"),
    "Infinity": (with_earth_k("-Infinity"), "must be a finite number, but is -Infinity"),
    "1e999": (with_earth_k("1e999"), "must be a finite number, but is Infinity"),
    "digits without end": (with_earth_k("1" * 5_000), "too many digits"),
    "lists without end": (b"[" * 1_000_000, "nested too deeply"),
    "lists inside a field": (with_earth_k("[" * 500 + "]" * 500), "nested too deeply"),
    "groups without end": (b'{"a":' * 100_000, "nested too deeply"),
    "newer format": (b'{"format": 2, "plan": {}}', "has format 2, and this program reads"),
    "format 0": (b'{"format": 0, "plan": {}}', "names no format"),
    "format true": (b'{"format": true, "plan": {}}', "names no format"),
    "format in words": (b'{"format": "1", "plan": {}}', "names no format"),
    "no format": (b'{"plan": {}}', "names no format"),
    "no plan": (b'{"format": 1}', "plan is missing"),
    "a list for a plan": (b'{"format": 1, "plan": []}', "plan must be a group"),
    "more beside the plan": (b'{"format": 1, "plan": {}, "code": 1}', "'code' is not a field"),
    "a list": (b"[1, 2]", "is not a plan file"),
    "a word": (b'"plan"', "is not a plan file"),
    "null": (b"null", "is not a plan file"),
    "empty": (b"", "is empty"),
    "zeros after a power cut": (b"\0" * 4_096, "is empty"),
    "cut off": (WHOLE[: len(WHOLE) // 2], "is not a whole plan file"),
    "two in one": (WHOLE + WHOLE, "is not a whole plan file: extra data"),
    "not JSON": (b"<plan/>", "is not a whole plan file"),
    "UTF-16": (WHOLE.decode().encode("utf-16"), "is not in the encoding UTF-8 (byte 0)"),
    "Latin-1": (b'{"format": 1, "plan": {"incident": {"name": "B\xe5t"}}}', "encoding UTF-8"),
    "half a character": (
        b'{"format": 1, "plan": {"incident": {"name": "flood \\ud800"}}}',
        "half a character",
    ),
    "a field twice": (
        b'{"format": 1, "plan": {"earth_k": 1.3, "earth_k": 0.6}}',
        "gives the same field twice: 'earth_k'",
    ),
    "a field twice among very many": (
        b'{"a": 1, ' + b", ".join(b'"%d": 1' % n for n in range(100_000)) + b', "a": 1}',
        "gives the same field twice: 'a'",
    ),
    "more values than memory": (b"[" + b"[]," * 4_000_001 + b"[]]", "too many values"),
    "a field of an object's own": (
        b'{"format": 1, "plan": {"__class__": {}, "with_site": 1}}',
        "'__class__' is not a field",
    ),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_file_is_refused_in_a_sentence_and_left_alone(kind: str, tmp_path: Path) -> None:
    data, expected = HOSTILE[kind]
    path = tmp_path / "valley.plan.json"
    path.write_bytes(data)
    with pytest.raises(PlanFileError) as refused:
        load_plan(path)
    told = str(refused.value)
    assert told.startswith("valley.plan.json ")
    assert expected in told
    assert told.endswith(".")
    assert refused.value.advice
    assert path.read_bytes() == data
    assert os.listdir(tmp_path) == ["valley.plan.json"]


def test_every_shorter_piece_of_a_file_is_refused() -> None:
    small = plan_to_bytes(stories.three_sites()).rstrip()
    for length in range(0, len(small), 7):
        with pytest.raises(PlanFileError):
            plan_from_bytes(small[:length])


def test_a_file_of_200_mb_is_refused_without_reading_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "valley.plan.json"
    with path.open("wb") as file:
        file.truncate(200_000_000)

    def never(self: Path, *args: object) -> None:
        raise AssertionError("it was opened")

    monkeypatch.setattr(Path, "open", never)
    with pytest.raises(
        PlanFileError, match=r"it has 200\.0 MB, and a plan file has at most 50 MB"
    ):
        load_plan(path)


def test_bytes_of_more_than_50_mb_are_refused() -> None:
    with pytest.raises(PlanFileError, match=r"at most 50 MB"):
        plan_from_bytes(b" " * 50_000_001)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"is a folder, not a plan"):
        load_plan(tmp_path)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"gone.plan.json cannot be read: no such file"):
        load_plan(tmp_path / "gone.plan.json")


def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"cannot be read"):
        load_plan(tmp_path / "a\0b")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(PlanFileError, match=r"is not an ordinary file"):
        load_plan(tmp_path / "pipe")


def test_a_file_one_may_not_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "valley.plan.json"
    path.write_bytes(WHOLE)

    def refuse(self: Path, *args: object) -> None:  # an administrator may read everything
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PlanFileError, match=r"cannot be read: permission denied"):
        load_plan(path)
