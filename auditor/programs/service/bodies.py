"""Bodies of requests, read within the limits of size and time."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from http import HTTPStatus
from typing import Any

from starlette.requests import ClientDisconnect, Request

from auditor.programs.plain_json import strict_json
from auditor.programs.service.problems import ProblemError
from auditor.programs.service.settings import ServiceSettings

_JSON = ("application/json", "")


async def json_body(request: Request, settings: ServiceSettings) -> Any:
    """The JSON value in a body.  Raises ProblemError where it is too large, too slow, of another kind or no JSON."""
    kind = media_type(request)
    if kind not in _JSON and not kind.endswith("+json"):
        raise ProblemError(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            f"The body is {kind}; expected application/json.",
            headers={"Accept-Post": "application/json"},
        )
    data = b"".join([chunk async for chunk in chunks(request, settings, settings.body_bytes)])
    try:
        return strict_json.decode(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise ProblemError(HTTPStatus.BAD_REQUEST, f"The body is not UTF-8 (byte {error.start + 1}).") from error
    except RecursionError:
        raise ProblemError(HTTPStatus.BAD_REQUEST, "The JSON is nested too deeply.") from None
    except ValueError as error:
        raise ProblemError(HTTPStatus.BAD_REQUEST, f"The body is not JSON ({str(error).rstrip('.')}).") from error


async def chunks(request: Request, settings: ServiceSettings, most: int | None) -> AsyncIterator[bytes]:
    """The body piece by piece; `most` bytes of it, where that is limited."""
    taken = 0
    said = request.headers.get("content-length", "")
    if most is not None and said.isdecimal() and int(said) > most:
        raise _too_large(most)
    stream = request.stream().__aiter__()
    while True:
        try:
            chunk = await asyncio.wait_for(anext(stream, None), settings.seconds)
        except TimeoutError:
            raise ProblemError(
                HTTPStatus.REQUEST_TIMEOUT, f"Nothing of the body came for {settings.seconds:g} seconds."
            ) from None
        except ClientDisconnect:
            return
        if chunk is None:
            return
        taken += len(chunk)
        if most is not None and taken > most:
            raise _too_large(most)
        if chunk:
            yield chunk


def media_type(request: Request) -> str:
    """The media type of a body without its parameters, in small letters."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


def _too_large(most: int) -> ProblemError:
    return ProblemError(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        f"The body is larger than {most:,} bytes; send many listings as lines to /listings.",
        limit_bytes=most,
    )
