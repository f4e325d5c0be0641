"""`python -m tests.benchmarks.service_load`: many clients at once ask a running service, which is then told to stop.

Prints requests per second, the median and the 99th percentile of the answering time, and what became of the requests
that were under way when the service was told to stop.  Clients speak HTTP over plain sockets, so that their own cost
stays small beside the service's.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import re
import signal
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass, field

from tests.shell.running import start

LISTINGS = [
    {"marking": "225/65R17 102H", "max_load_kg": str(840 + number % 30), "title": f"Fenmarch Vale {number} 225/65R17"}
    for number in range(500)
]

_HEAD = "POST /listing HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {length}\r\n\r\n"


@dataclass(slots=True)
class Figures:
    """What the clients saw."""

    seconds: list[float] = field(default_factory=list)
    begun: int = 0
    answered: int = 0
    wrong: int = 0
    refused: int = 0  # after the service was told to stop: no connection any more, which a caller sees and repeats
    torn: int = 0  # a request that was taken, and never answered


async def client(number: int, host: str, port: int, until: float, figures: Figures, stopped: asyncio.Event) -> None:
    """Asks one listing after the other on one connection."""
    reader, writer = await asyncio.open_connection(host, port)
    while time.monotonic() < until:
        body = json.dumps(LISTINGS[(number * 37 + figures.begun) % len(LISTINGS)]).encode()
        head = _HEAD.format(length=len(body))
        figures.begun += 1
        begun = time.perf_counter()
        try:
            writer.write(head.encode() + body)
            await writer.drain()
            answer = await reader.readuntil(b"\r\n\r\n")
            length = re.search(rb"content-length: (\d+)", answer)
            text = await reader.readexactly(int(length[1])) if length else b""
        except (ConnectionError, asyncio.IncompleteReadError) as error:
            # Closed between two requests: nothing was taken.  In the middle of an answer: something was lost.
            lost = isinstance(error, asyncio.IncompleteReadError) and bool(error.partial)
            figures.torn += lost or not stopped.is_set()
            figures.refused += not lost and stopped.is_set()
            return
        figures.seconds.append(time.perf_counter() - begun)
        figures.answered += 1
        figures.wrong += not answer.startswith(b"HTTP/1.1 200") or b'"verdict"' not in text
        if b"connection: close" in answer:
            return
    writer.close()


async def load(host: str, port: int, clients: int, seconds: float, process: subprocess.Popen[bytes]) -> Figures:
    """All clients at once; the service is told to stop when four fifths of the time are over."""
    figures, stopped = Figures(), asyncio.Event()
    begun = time.monotonic()
    at_work = [
        asyncio.create_task(client(number, host, port, begun + seconds, figures, stopped)) for number in range(clients)
    ]
    await asyncio.sleep(0.8 * seconds)
    stopped.set()
    process.send_signal(signal.SIGTERM)
    await asyncio.gather(*at_work)
    return figures


def main() -> int:
    """Runs the load and prints the figures; 1 where a request was lost or answered wrongly."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.service_load", description=__doc__)
    parser.add_argument("--clients", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    with start(["serve", "--port", "0", "--quiet", "--workers", str(given.workers)]) as process:
        assert process.stderr is not None
        host, port = process.stderr.readline().decode().split("//")[-1].strip().split(":")
        time.sleep(3)  # until every process has read its rule book
        figures = asyncio.run(load(host, int(port), given.clients, given.seconds, process))
        process.communicate(timeout=30)
    times = sorted(figures.seconds)
    print(f"{given.clients} clients, {given.workers} processes, {figures.answered:,} answers")
    print(f"{figures.answered / (0.8 * given.seconds):,.0f} a second")
    print(f"median {1000 * statistics.median(times):.1f} ms, 99 % within {1000 * times[int(0.99 * len(times))]:.1f} ms")
    print(f"wrong {figures.wrong}, lost {figures.torn}, not taken after the signal {figures.refused}")
    print(f"the service ended with {process.returncode}")
    return 0 if not (figures.wrong or figures.torn or process.returncode) else 1


if __name__ == "__main__":
    sys.exit(main())
