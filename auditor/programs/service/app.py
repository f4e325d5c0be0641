"""The application: paths, what guards them, and what answers."""

from __future__ import annotations

import hmac
import json
import logging
import os
import time
from collections.abc import AsyncIterator, Awaitable, Callable, MutableMapping
from http import HTTPStatus
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from auditor.marking import decode
from auditor.marking.explain.decoded import decoded_json
from auditor.programs.books import load_book
from auditor.programs.line_batches import Line, Lines
from auditor.programs.service.bodies import chunks, json_body, media_type
from auditor.programs.service.openapi import openapi
from auditor.programs.service.problems import ProblemError, on_http_error, on_problem, problem_response
from auditor.programs.service.settings import ENVIRONMENT, TOKEN, ServiceSettings
from auditor.programs.stream import Answering, error_answer, in_lines
from auditor.programs.substitution import answer_for
from auditor.rulebook.book import RuleBook
from auditor.rulebook.built_in import published_schema, schema_names
from auditor.version import __version__

JSON, JSON_LINES = "application/json", "application/jsonl"
_LINES = (JSON_LINES, "application/x-ndjson", "application/x-jsonlines", "text/plain", "application/octet-stream", "")
_OPEN = ("/health",)  # asked by whatever watches over the service, which knows no token
_log = logging.getLogger("auditor.service")

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]


def app_from_environment() -> Starlette:
    """The application as this process was told to make it."""
    return make_app(ServiceSettings.from_text(os.environ.get(ENVIRONMENT, "")), os.environ.get(TOKEN, ""))


def make_app(settings: ServiceSettings, token: str = "") -> Starlette:
    """The application; a `token` has to be shown by every caller where it is given."""
    book = load_book(settings.rules, settings.policy, settings.hold_from, settings.market)
    paths = _Paths(settings, book)
    app = Starlette(
        routes=[
            Route("/listing", paths.listing, methods=["POST"]),
            Route("/listings", paths.listings, methods=["POST"]),
            Route("/marking", paths.marking, methods=["POST"]),
            Route("/pair", paths.pair, methods=["POST"]),
            Route("/schemas", paths.schemas),
            Route("/schemas/{name}", paths.schema),
            Route("/health", paths.health),
            Route("/openapi.json", paths.openapi),
        ],
        exception_handlers={ProblemError: on_problem, HTTPException: on_http_error},
    )
    app.add_middleware(_Guard, settings=settings, token=token)
    return app


class _Paths:
    """What answers under each path."""

    def __init__(self, settings: ServiceSettings, book: RuleBook) -> None:
        self.settings, self.book = settings, book
        self._answering = Answering(book)

    async def listing(self, request: Request) -> Response:
        """The verdict on one listing, byte for byte as the stream gives it."""
        (answer,) = self._answering.requests([await json_body(request, self.settings)])
        if "error" in answer:
            error = answer["error"]
            more = {} if error["field"] is None else {"field": error["field"]}
            internal = error["message"].startswith("Internal error")
            status = HTTPStatus.INTERNAL_SERVER_ERROR if internal else HTTPStatus.UNPROCESSABLE_ENTITY
            raise ProblemError(status, error["message"], **more)
        return Response(in_lines([answer]), media_type=JSON)

    async def listings(self, request: Request) -> Response:
        """One answer for each line, in order, as soon as it is there; a bad line has an error in its place."""
        if media_type(request) not in _LINES:
            raise ProblemError(
                HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
                f"The body is {media_type(request)}; expected {JSON_LINES}: one listing per line.",
                headers={"Accept-Post": JSON_LINES},
            )
        return _Lines(self._answers(request))

    async def _answers(self, request: Request) -> AsyncIterator[bytes]:
        answering = Answering(self.book)
        try:
            async for batch in _batches(chunks(request, self.settings, None)):
                yield in_lines(await run_in_threadpool(answering.lines, batch)).encode()
        except ProblemError as problem:  # too late for another status: the last line says it
            yield in_lines([error_answer(problem.detail)]).encode()

    async def marking(self, request: Request) -> Response:
        """A marking with everything that follows from it."""
        text = _member(await json_body(request, self.settings), "text")
        return _json(decoded_json(decode(text), self.book.tables))

    async def pair(self, request: Request) -> Response:
        """Whether one tire may stand in for another."""
        body = await json_body(request, self.settings)
        old, new = _member(body, "old"), _member(body, "new")
        required = body.get("required", False)
        if not isinstance(required, bool):
            raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, "`required` should be true or false.", field="required")
        return _json(answer_for(old, new, self.book, required=required).as_json())

    async def schemas(self, _: Request) -> Response:
        """The names of the schemas."""
        return _json(schema_names())

    async def schema(self, request: Request) -> Response:
        """One schema."""
        name = request.path_params["name"]
        if name not in schema_names():
            raise ProblemError(
                HTTPStatus.NOT_FOUND, f"There is no schema {name!r}; there are {', '.join(schema_names())}."
            )
        return _json(published_schema(name))

    async def health(self, _: Request) -> Response:
        """That the service answers, by which program and rule book."""
        return _json({"status": "ok", "program": __version__, "rules": self.book.sha256})

    async def openapi(self, _: Request) -> Response:
        """What there is, for programs."""
        return _json(openapi())


class _Lines(Response):
    """Answers that are sent while the request is still being read, which the framework's own class cannot do."""

    media_type = JSON_LINES

    def __init__(self, parts: AsyncIterator[bytes]) -> None:
        super().__init__()
        del self.headers["content-length"]
        self._parts = parts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
        async for part in self._parts:
            await send({"type": "http.response.body", "body": part, "more_body": True})
        await send({"type": "http.response.body", "body": b""})


class _Guard:
    """Before every request: the token, and room in the queue.  Behind it: a line in the log, without the body."""

    def __init__(self, app: Any, settings: ServiceSettings, token: str) -> None:
        self._app, self._settings, self._token = app, settings, token.encode()
        self._at_work = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        begun, status = time.perf_counter(), 0

        async def sending(message: MutableMapping[str, Any]) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        refusal = self._refusal(scope)
        self._at_work += 1
        try:
            await (self._app if refusal is None else problem_response(refusal))(scope, receive, sending)
        finally:
            self._at_work -= 1
            took_ms = 1000 * (time.perf_counter() - begun)
            _log.info("%s %s %d %.1f ms", scope["method"], scope["path"], status, took_ms)

    def _refusal(self, scope: Scope) -> ProblemError | None:
        if self._token and scope["path"] not in _OPEN:
            shown = dict(scope["headers"]).get(b"authorization", b"")
            if not hmac.compare_digest(shown, b"Bearer " + self._token):
                return ProblemError(
                    HTTPStatus.UNAUTHORIZED,
                    "Show the token: Authorization: Bearer TOKEN.",
                    headers={"WWW-Authenticate": "Bearer"},
                )
        if self._at_work >= self._settings.queue and scope["path"] not in _OPEN:
            return ProblemError(
                HTTPStatus.SERVICE_UNAVAILABLE,
                f"{self._settings.queue} requests are at work already; come back in a moment.",
                headers={"Retry-After": "1"},
            )
        return None


async def _batches(pieces: AsyncIterator[bytes]) -> AsyncIterator[list[Line]]:
    """`line_batches` over pieces that are waited for."""
    lines = Lines()
    async for piece in pieces:
        for batch in lines.take(piece):
            yield batch
    for batch in lines.end():
        yield batch


def _member(body: Any, name: str) -> str:
    text = body.get(name) if isinstance(body, dict) else None
    if not isinstance(text, str):
        raise ProblemError(
            HTTPStatus.UNPROCESSABLE_ENTITY, f"The body should be an object with a text `{name}`.", field=name
        )
    return text


def _json(value: Any) -> Response:
    return Response(json.dumps(value, ensure_ascii=False) + "\n", media_type=JSON)
