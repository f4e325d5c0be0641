"""The service's answers: the verdict of every other way in, problems by RFC 9457, limits, the token."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from httpx import ASGITransport, AsyncClient, Response
from jsonschema import Draft202012Validator
from starlette.applications import Starlette

import auditor
from auditor.programs.service.app import make_app
from auditor.programs.service.openapi import openapi
from auditor.programs.service.settings import ServiceSettings
from auditor.programs.stream import Answering, in_lines
from auditor.rulebook.book import load_book
from auditor.rulebook.built_in import published_schema
from tests.trials.listings import FOLDER, read

LISTINGS = [row["listing"] for row in read([FOLDER / "listings.jsonl"])]
GOOD = {"marking": "225/65R17 102H", "max_load_kg": "850"}
BOOK = load_book()


class Client:
    """Asks the application without a server."""

    def __init__(self, app: Starlette) -> None:
        self._app = app

    def request(self, method: str, path: str, **how: Any) -> Response:
        async def asked() -> Response:
            transport = ASGITransport(self._app, raise_app_exceptions=False)
            async with AsyncClient(transport=transport, base_url="http://service") as client:
                return await client.request(method, path, **how)

        with ThreadPoolExecutor(1) as apart:  # a browser's tests leave a loop running in this thread
            return apart.submit(lambda: asyncio.run(asked())).result()

    def get(self, path: str, **how: Any) -> Response:
        return self.request("GET", path, **how)

    def post(self, path: str, **how: Any) -> Response:
        return self.request("POST", path, **how)


CLIENT = Client(make_app(ServiceSettings()))


def problem_of(response: Response) -> dict[str, Any]:
    assert response.headers["content-type"] == "application/problem+json"
    found: dict[str, Any] = response.json()
    Draft202012Validator(openapi()["components"]["schemas"]["problem"]).validate(found)
    assert found["status"] == response.status_code
    return found


def test_a_listing_gets_the_bytes_of_the_stream() -> None:
    for listing in [*LISTINGS[:80], {"id": 7, **GOOD}]:
        response = CLIENT.post("/listing", json=listing)
        assert response.status_code == 200
        assert response.content.decode() == in_lines(Answering(BOOK).requests([listing]))


def test_many_get_a_line_each_in_order() -> None:
    lines = [json.dumps({**listing, "id": number}) for number, listing in enumerate(LISTINGS)]
    lines[5] = "no json"
    response = CLIENT.post("/listings", content="\n".join(lines), headers={"Content-Type": "application/jsonl"})
    assert response.headers["content-type"] == "application/jsonl"
    assert response.content.decode() == in_lines(Answering(BOOK).lines([line.encode() for line in lines]))


def test_a_marking_and_a_pair_are_answered_as_by_the_calls() -> None:
    found = CLIENT.post("/marking", json={"text": "225/65R17 102H"}).json()
    assert (found["load_single_kg"], found["speed_kmh"]) == (850, 210)
    Draft202012Validator(published_schema("decode")).validate(found)
    pair = {"old": "225/65R17 102H", "new": "225/65R17 100V"}
    assert CLIENT.post("/pair", json=pair).json() == auditor.substitute(**pair).as_json()
    assert CLIENT.post("/pair", json={"old": "102H", "new": "225/65R17 102H", "required": True}).json()["required"]


@pytest.mark.parametrize(
    ("path", "body", "kind", "status", "said"),
    [
        ("/listing", b'{"markin": "x"}', "application/json", 422, "There is no listing field 'markin'"),
        ("/listing", b'{"size": []}', "application/json", 422, "size should be a text, a number or nothing"),
        ("/listing", b"[]", "application/json", 422, "This is JSON but no object"),
        ("/listing", b"{", "application/json", 400, "The body is not JSON ("),
        ("/listing", b'{"id": NaN}', "application/json", 400, "NaN is no JSON value"),
        ("/listing", b'"\xff"', "application/json", 400, "The body is not UTF-8 (byte 2)."),
        ("/listing", b"[" * 100_000, "application/json", 400, "The JSON is nested too deeply."),
        ("/listing", b"a=1", "application/x-www-form-urlencoded", 415, "expected application/json"),
        ("/listing", b" " * 1_000_001, "application/json", 413, "The body is larger than 1,000,000 bytes"),
        ("/listings", b"{}", "image/png", 415, "one listing per line"),
        ("/marking", b"{}", "application/json", 422, "an object with a text `text`"),
        ("/pair", b'{"old": "x"}', "application/json", 422, "an object with a text `new`"),
        ("/pair", b'{"old": "x", "new": "y", "required": 1}', "application/json", 422, "true or false"),
        ("/list", b"", "", 404, "There is nothing at /list"),
        ("/health", b"", "", 405, "/health does not take POST; it takes GET, HEAD"),
    ],
)
def test_what_is_wrong_is_a_problem_with_one_sentence(
    path: str, body: bytes, kind: str, status: int, said: str
) -> None:
    response = CLIENT.post(path, content=body, headers={"Content-Type": kind} if kind else {})
    problem = problem_of(response)
    assert response.status_code == status
    assert said in problem["detail"]


def test_the_field_that_is_wrong_is_named() -> None:
    assert problem_of(CLIENT.post("/listing", json={"markin": "x"}))["field"] == "markin"


def test_a_body_of_unknown_length_ends_at_the_limit() -> None:
    async def pieces() -> AsyncIterator[bytes]:
        for piece in (b'{"title": "', *(b"x" * 100_000 for _ in range(20)), b'"}'):
            yield piece

    response = CLIENT.post("/listing", content=pieces(), headers={"Content-Type": "application/json"})
    assert problem_of(response)["limit_bytes"] == 1_000_000


def test_a_token_is_asked_for_where_one_is_set() -> None:
    client = Client(make_app(ServiceSettings(), token="a secret"))
    for headers in ({}, {"Authorization": "Bearer a secre"}, {"Authorization": "a secret"}):
        response = client.post("/listing", json=GOOD, headers=headers)
        assert (response.status_code, response.headers["www-authenticate"]) == (401, "Bearer")
        problem_of(response)
    assert client.post("/listing", json=GOOD, headers={"Authorization": "Bearer a secret"}).status_code == 200
    assert client.get("/health").status_code == 200


def test_no_room_in_the_queue_is_said_with_when_to_come_back() -> None:
    client = Client(make_app(ServiceSettings(queue=0)))
    response = client.post("/listing", json=GOOD)
    assert (response.status_code, response.headers["retry-after"]) == (503, "1")
    assert client.get("/health").status_code == 200


def test_nothing_of_a_listing_is_logged(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        CLIENT.post("/listing", json={"marking": "225/65R17 102H", "sku": "SECRET-SKU"})
        CLIENT.post("/listings", content=b'{"sku": "SECRET-SKU"}')
        CLIENT.post("/listing", json={"markin": "SECRET-SKU"})
    own = [record.getMessage() for record in caplog.records if record.name == "auditor.service"]
    assert len(own) == 3 and own[0].startswith("POST /listing 200 ")
    assert not any("SECRET" in message for message in own)


def test_own_rules_hold_in_the_service_too() -> None:
    low = {"marking": "225/65R17 102H", "max_load_kg": "800"}
    assert CLIENT.post("/listing", json=low).json()["verdict"] == "hold"
    client = Client(make_app(ServiceSettings(hold_from="critical")))
    assert client.post("/listing", json=low).json()["verdict"] == "release"


def test_schemas_and_the_document_name_what_there_is() -> None:
    names = CLIENT.get("/schemas").json()
    assert {"listing", "verdict", "decode", "substitute"} <= set(names)
    for name in names:
        Draft202012Validator.check_schema(CLIENT.get(f"/schemas/{name}").json())
    assert problem_of(CLIENT.get("/schemas/listin"))["status"] == 404
    document = CLIENT.get("/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    for path, methods in document["paths"].items():
        for method in methods:
            sent = path.replace("{name}", "verdict")
            assert CLIENT.request(method, sent).status_code in (200, 400, 415, 422), path
    assert document["components"]["schemas"]["verdict"] == published_schema("verdict")
