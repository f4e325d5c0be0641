"""What goes wrong with a request, as problem details (RFC 9457)."""

from __future__ import annotations

import json
from http import HTTPStatus
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

MEDIA_TYPE = "application/problem+json"


class ProblemError(Exception):
    """Ends a request with an error; `more` are further members of the problem object, `headers` of the answer."""

    def __init__(
        self, status: HTTPStatus, detail: str, *, headers: dict[str, str] | None = None, **more: object
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.headers = headers
        self.more = more


def problem_response(problem: ProblemError) -> Response:
    """A problem as an answer: type, title, status, detail, and what else is known."""
    members: dict[str, Any] = {
        "type": "about:blank",  # the status says what kind it is, as the RFC has it for such problems
        "title": problem.status.phrase,
        "status": int(problem.status),
        "detail": problem.detail,
        **problem.more,
    }
    body = json.dumps(members, ensure_ascii=False).encode()
    return Response(body, int(problem.status), problem.headers, MEDIA_TYPE)


async def on_problem(_: Request, error: Exception) -> Response:
    """Answers a request that ended with a problem of ours."""
    assert isinstance(error, ProblemError)
    return problem_response(error)


async def on_http_error(request: Request, error: Exception) -> Response:
    """Answers what the framework refuses: a path that is none, a method that a path does not have."""
    assert isinstance(error, HTTPException)
    status = HTTPStatus(error.status_code)
    detail = error.detail
    if status is HTTPStatus.NOT_FOUND:
        detail = f"There is nothing at {request.url.path}; GET /openapi.json says what there is."
    elif status is HTTPStatus.METHOD_NOT_ALLOWED:
        allowed = ", ".join(sorted((error.headers or {}).get("Allow", "").split(", ")))
        detail = f"{request.url.path} does not take {request.method}; it takes {allowed}."
    return problem_response(ProblemError(status, detail, headers=dict(error.headers or {})))
