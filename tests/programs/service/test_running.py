"""The command `serve` as a process: it says where it listens, stops gracefully, and loses no answer."""

from __future__ import annotations

import contextlib
import json
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Iterator

import httpx
import pytest

from tests.shell.running import start

GOOD = {"marking": "225/65R17 102H", "max_load_kg": "850"}


@contextlib.contextmanager
def service(*words: str) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A running service and its address."""
    with start(["serve", "--port", "0", *words]) as process:
        limit = threading.Timer(120, process.kill)
        limit.start()
        try:
            assert process.stderr is not None
            line = process.stderr.readline().decode()
            assert line.startswith("auditor: listening on http://127.0.0.1:"), line
            address = line.split()[-1]
            for _ in range(200):  # the socket listens already; the application may still be made
                with contextlib.suppress(httpx.TransportError):
                    httpx.get(address + "/health", timeout=30)
                    break
                time.sleep(0.05)
            yield address, process
        finally:
            limit.cancel()
            process.kill()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_with_code_0(number: signal.Signals) -> None:
    with service() as (address, process):
        assert httpx.post(address + "/listing", json=GOOD).json()["verdict"] == "release"
        process.send_signal(number)
        out, err = process.communicate(timeout=20)
    assert (process.returncode, out) == (0, b"")
    assert b"Traceback" not in err and b"225/65R17" not in err


def test_what_is_at_work_is_answered_before_it_stops() -> None:
    lines = [json.dumps({**GOOD, "id": number}) for number in range(3000)]

    def slowly(process: subprocess.Popen[bytes]) -> Iterator[bytes]:
        for number, line in enumerate(lines):
            if number == 1500:
                process.send_signal(signal.SIGTERM)
                time.sleep(0.5)
            yield line.encode() + b"\n"

    with service() as (address, process):
        answer = httpx.post(address + "/listings", content=slowly(process), timeout=30)
        process.communicate(timeout=20)
    assert process.returncode == 0
    assert [json.loads(line)["id"] for line in answer.text.splitlines()] == list(range(3000))


def test_a_caller_that_says_nothing_more_is_let_go() -> None:
    with service("--seconds", "0.5") as (address, _):
        host, port = address.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port)), timeout=20) as slow:
            head = "POST /listing HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n{"
            slow.sendall(head.encode())
            assert slow.recv(4096).startswith(b"HTTP/1.1 408 ")
        assert httpx.post(address + "/listing", json=GOOD).status_code == 200


def test_several_processes_answer_alike() -> None:
    with service("--workers", "2", "--quiet") as (address, process):
        answers = {httpx.post(address + "/listing", json=GOOD, timeout=60).text for _ in range(10)}
        assert len(answers) == 1
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=30)
    assert process.returncode == 0


def test_it_does_not_listen_for_others_without_a_token(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("AUDITOR_TOKEN", raising=False)
    with start(["serve", "--host", "0.0.0.0", "--port", "0"]) as process:
        _, err = process.communicate(timeout=30)
    assert process.returncode == 2
    assert err.decode().startswith("auditor: --host 0.0.0.0 can be reached from other machines: set AUDITOR_TOKEN")


def test_a_port_in_use_is_one_sentence() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with start(["serve", "--port", str(port)]) as process:
            _, err = process.communicate(timeout=30)
    assert process.returncode == 4
    assert err.decode() == (
        f"auditor: 127.0.0.1:{port} cannot be listened on (address already in use); choose another --port.\n"
    )
