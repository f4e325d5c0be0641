"""`auditor serve`: the pre-publish check over HTTP."""

from __future__ import annotations

import argparse
import ipaddress
import os
import sys

from auditor.errors import OutputError, UsageError
from auditor.shell.book_options import add_book_options, book_from_options, say_loosened

EPILOG = """\
POST a listing to /listing, many as JSON lines to /listings, {"text": ...} to
/marking, {"old": ..., "new": ...} to /pair; GET /openapi.json says the rest.
Errors are problem details (RFC 9457). No listing is written to any log.

Listens on this machine alone unless --host says otherwise; then a token is
asked for, which the environment variable AUDITOR_TOKEN holds. Needs the extra
`service`: pip install 'tire-listing-auditor[service]'.

  auditor serve --port 8765
  curl -d '{"marking": "225/65R17 102H", "max_load_kg": 950}' \\
    -H 'Content-Type: application/json' http://127.0.0.1:8765/listing

SIGTERM or Ctrl-C ends it when the requests at work are answered; exit code 0."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", metavar="ADDRESS", default="127.0.0.1", help="where to listen (default: 127.0.0.1)")
    parser.add_argument("--port", metavar="N", type=int, default=8765, help="(default: 8765; 0: any that is free)")
    parser.add_argument("--workers", metavar="N", type=int, default=1, help="processes that answer (default: 1)")
    parser.add_argument("--queue", metavar="N", type=int, default=64, help="requests at work at once, per process")
    parser.add_argument(
        "--body-bytes", metavar="N", type=int, default=1_000_000, help="largest listing (default: 1000000)"
    )
    parser.add_argument(
        "--seconds", metavar="N", type=float, default=20.0, help="wait so long for a body (default: 20)"
    )
    parser.add_argument("--quiet", action="store_true", help="no line for each request")
    add_book_options(parser)


def run(options: argparse.Namespace) -> int:
    for name in ("workers", "queue", "body_bytes", "seconds"):
        if getattr(options, name) <= 0:
            raise UsageError(f"--{name.replace('_', '-')} {getattr(options, name)} should be more than 0.")
    if not 0 <= options.port <= 65535:
        raise UsageError(f"--port {options.port} should lie between 0 and 65535.")
    try:
        # Start-up: only a service needs its libraries.
        from auditor.programs.service.running import serve
        from auditor.programs.service.settings import TOKEN, ServiceSettings
    except ModuleNotFoundError as error:
        if not str(error.name).startswith("auditor"):
            raise UsageError(
                f"serve needs {error.name}, which is not installed: pip install 'tire-listing-auditor[service]'."
            ) from error
        raise
    if not _is_loopback(options.host) and not os.environ.get(TOKEN):
        raise UsageError(
            f"--host {options.host} can be reached from other machines: set {TOKEN} to a token that callers must show."
        )
    say_loosened(book_from_options(options))  # and a book that is not whole is said before anything listens
    settings = ServiceSettings(
        rules=None if options.rules is None else str(options.rules.resolve()),
        policy=None if options.policy is None else str(options.policy.resolve()),
        hold_from=options.hold_from,
        market=options.market,
        body_bytes=options.body_bytes,
        seconds=options.seconds,
        queue=options.queue,
    )
    try:
        return serve(settings, options.host, options.port, options.workers, log=not options.quiet)
    except OSError as error:
        raise OutputError(
            f"{options.host}:{options.port} cannot be listened on ({(error.strerror or str(error)).lower()}); "
            "choose another --port."
        ) from error
    finally:
        sys.stderr.flush()


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
