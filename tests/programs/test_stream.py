"""The stream: one answer per line whatever the line holds, at once, until the input or a signal ends it."""

from __future__ import annotations

import io
import json
import signal
import subprocess
import threading
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from jsonschema import Draft202012Validator

from auditor.programs.line_batches import MOST_BYTES, TooLong, line_batches
from auditor.programs.stream import Answering, follow
from auditor.rulebook.book import load_book
from auditor.rulebook.built_in import published_schema
from tests.shell.running import start
from tests.trials.listings import FOLDER, read

SCHEMA = published_schema("verdict")
VERDICT = Draft202012Validator(SCHEMA)
BOOK = load_book()
LINE = b'{"id": 1, "marking": "225/65R17 102H", "max_load_kg": "850"}\n'


def answer_to(line: bytes) -> dict[str, Any]:
    (answer,) = Answering(BOOK).lines([line])
    return answer


def test_every_line_is_answered_in_order_with_its_id() -> None:
    lines = io.BytesIO(
        LINE
        + b"\n"
        + b"no json\n"
        + b'{"id": "b", "size": "225/65R17", "max_load": 1}\n'
        + b'{"id": null, "size": "x"}'
    )
    answers = io.StringIO()
    assert follow(lines, answers, BOOK) == 1
    first, second, third, last = (json.loads(line) for line in answers.getvalue().splitlines())
    assert (first["id"], first["verdict"]) == (1, "release")
    assert "id" not in second and second["error"]["message"].startswith("The line is not JSON (")
    assert (third["id"], third["error"]["field"]) == ("b", "max_load")
    assert (last["id"], last["verdict"]) == (None, "hold")


@pytest.mark.parametrize("line", [b'{"id": NaN}', b'{"id": Infinity}', b'{"max_load_kg": NaN}', b'{"id": 1E400}'])
def test_what_json_has_no_number_for_is_refused(line: bytes) -> None:
    said = answer_to(line)["error"]["message"]
    assert "is no JSON value" in said or said == "`id` should be a text, a number or null."


def test_lines_judged_together_are_answered_as_one_by_one() -> None:
    lines = [json.dumps({**row["listing"], "id": row["id"]}).encode() for row in read([FOLDER / "listings.jsonl"])]
    lines[7:7] = [b"no json", b"[]", b'{"size": {}}', TooLong]
    together = Answering(BOOK).lines(lines)
    assert together == [answer for line in lines for answer in Answering(BOOK).lines([line])]


def test_lines_come_whole_however_the_stream_is_cut() -> None:
    text = LINE * 5 + b"\n  \n" + b"x" * (MOST_BYTES + 5) + b"\n" + LINE[:-1]
    whole = [LINE[:-1]] * 5 + [TooLong, LINE[:-1]]
    for size in (1 << 20, 7919, 100_003):
        chunks = (text[start : start + size] for start in range(0, len(text), size))
        assert [line for batch in line_batches(chunks) for line in batch] == whole


@pytest.mark.parametrize("workers", [1, 2])
def test_the_command_answers_many_lines_alike_on_any_number_of_processes(workers: int) -> None:
    listings = [{"marking": "225/65R17 102H", "max_load_kg": 840 + n} for n in range(30)]
    alone = [answer_to(json.dumps(listing).encode()) for listing in listings]
    lines = b"".join(json.dumps({"id": n, **listings[n % 30]}).encode() + b"\n" for n in range(9000))
    with start(["listing", "--follow", "--workers", str(workers)]) as process:
        out, err = process.communicate(lines, timeout=120)
    assert (process.returncode, err) == (1, b"")
    assert [json.loads(line) for line in out.splitlines()] == [{"id": n, **alone[n % 30]} for n in range(9000)]


def test_all_released_is_code_0() -> None:
    assert follow(io.BytesIO(LINE * 3), io.StringIO(), BOOK) == 0


def test_an_endless_line_costs_one_error_and_no_memory() -> None:
    lines = io.BytesIO(b'{"title": "' + b"x" * (2 * MOST_BYTES) + b'"}\n' + LINE)
    answers = io.StringIO()
    follow(lines, answers, BOOK)
    first, second = (json.loads(line) for line in answers.getvalue().splitlines())
    assert first["error"]["message"] == "The line is longer than 4,000,000 bytes; send one listing per line."
    assert second["verdict"] == "release"


@pytest.mark.parametrize("line", [b"[" * 50_000, b"\xff\xfe", b"[]", b"null", b'{"id": {}}', b'{"size": {}}', b"NaN"])
def test_a_bad_line_gets_an_error_object(line: bytes) -> None:
    found = answer_to(line)
    VERDICT.validate(found)
    assert found["error"]["message"].endswith((".", "?"))


_plain = some.none() | some.booleans() | some.integers() | some.floats() | some.text(max_size=20)
_json = some.recursive(
    _plain, lambda inner: some.lists(inner, max_size=3) | some.dictionaries(some.text(), inner, max_size=3)
)


@settings(max_examples=150)
@given(some.one_of(some.binary(max_size=60), _json.map(lambda value: json.dumps(value).encode())))
def test_any_line_gets_a_valid_answer(line: bytes) -> None:
    VERDICT.validate(json.loads(json.dumps(answer_to(line))))


def _answer(process: subprocess.Popen[bytes]) -> dict[str, Any]:
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write(LINE)
    process.stdin.flush()
    found: dict[str, Any] = json.loads(process.stdout.readline())
    return found


def test_answers_come_at_once_and_the_end_of_input_ends_it() -> None:
    with start(["listing", "--follow"]) as process:
        limit = threading.Timer(30, process.kill)
        limit.start()
        assert [_answer(process)["verdict"] for _ in range(3)] == ["release"] * 3
        out, err = process.communicate(timeout=10)
        limit.cancel()
    assert (process.returncode, out, err) == (0, b"", b"")


@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_a_signal_ends_it_without_noise(number: signal.Signals, code: int) -> None:
    with start(["listing", "--follow"]) as process:
        limit = threading.Timer(30, process.kill)
        limit.start()
        _answer(process)
        process.send_signal(number)
        assert process.stdout is not None and process.stderr is not None
        out, err = process.stdout.read(), process.stderr.read()
        process.wait(timeout=5)
        limit.cancel()
    assert (process.returncode, out, err) == (code, b"", b"")


def test_a_reader_that_leaves_ends_it() -> None:
    with start(["listing", "--follow"]) as process:
        limit = threading.Timer(30, process.kill)
        limit.start()
        _answer(process)
        assert process.stdin is not None and process.stdout is not None and process.stderr is not None
        process.stdout.close()
        process.stdin.write(LINE)
        process.stdin.close()
        err = process.stderr.read()
        process.wait(timeout=5)
        limit.cancel()
    assert err == b""
