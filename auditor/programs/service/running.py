"""Runs the application until it is told to stop; what is at work then is answered first."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
import socket
import sys
import threading
from multiprocessing.process import BaseProcess

import uvicorn

from auditor.programs.service.settings import ENVIRONMENT, ServiceSettings

_STOP_SECONDS = 10  # that requests at work are waited for
_KEPT_SECONDS = 20  # that a connection may be idle
_LOOK_SECONDS = 0.5  # between two looks at the processes


def serve(settings: ServiceSettings, host: str, port: int, workers: int, *, log: bool) -> int:
    """Listens until SIGTERM or SIGINT; 0.  Raises OSError where the address cannot be listened on."""
    os.environ[ENVIRONMENT] = settings.as_text()
    over = threading.Event()
    with _listening(host, port) as listener:
        address = listener.getsockname()
        shown = f"[{address[0]}]" if ":" in address[0] else address[0]
        print(f"auditor: listening on http://{shown}:{address[1]}", file=sys.stderr, flush=True)
        # The server raises the signal that ended it once more behind itself; then the work is done.
        before = {number: signal.signal(number, lambda *_: over.set()) for number in (signal.SIGINT, signal.SIGTERM)}
        try:
            if workers == 1:
                _answer(listener, log)
            else:
                _watch_over([None] * workers, listener, log, over)
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)
    return 0


def _answer(listener: socket.socket, log: bool) -> None:
    """Serves in this process until a signal."""
    logging.basicConfig(stream=sys.stderr, format="%(asctime)s %(message)s", level=logging.WARNING)
    logging.getLogger("auditor.service").setLevel(logging.INFO if log else logging.WARNING)
    config = uvicorn.Config(
        "auditor.programs.service.app:app_from_environment",
        factory=True,
        log_config=None,
        access_log=False,  # its lines hold queries; ours hold nothing of a caller's
        server_header=False,
        timeout_keep_alive=_KEPT_SECONDS,
        timeout_graceful_shutdown=_STOP_SECONDS,
    )
    uvicorn.Server(config).run(sockets=[listener])


def _answer_until_told(listener: socket.socket, log: bool) -> None:
    """`_answer` in a process of its own: a Ctrl-C reaches all of them, and each ends well."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: None)
    _answer(listener, log)


def _watch_over(processes: list[BaseProcess | None], listener: socket.socket, log: bool, over: threading.Event) -> None:
    """Keeps so many processes answering on one socket; one that dies is replaced."""
    context = multiprocessing.get_context("spawn")
    while not over.wait(_LOOK_SECONDS if all(processes) else 0):
        for place, process in enumerate(processes):
            if process is None or not process.is_alive():
                processes[place] = started = context.Process(target=_answer_until_told, args=(listener, log))
                started.start()
    running = [process for process in processes if process is not None]
    for process in running:
        process.terminate()
    for process in running:
        process.join(_STOP_SECONDS + 2)
        if process.is_alive():
            process.kill()


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        listener.listen(2048)
    except OSError:
        listener.close()
        raise
    return listener
