"""The OpenAPI document of the service, made of the schemas that are published anyway."""

from __future__ import annotations

from functools import cache
from typing import Any

from auditor.rulebook.built_in import published_schema
from auditor.version import __version__

_SAYS = """\
Audits tire listings against their own markings. This compares what a listing says with its own marking; it does \
not approve a tire for a vehicle. The vehicle placard, the owner's manual, the tire itself and a trained fitter \
decide, and local law applies."""
_USED = ("listing", "verdict", "decode", "substitute")
_TEXT = {"type": "string"}


@cache
def openapi() -> dict[str, Any]:
    """The document, by OpenAPI 3.1."""
    return {
        "openapi": "3.1.0",
        "info": {"title": "Tire listing auditor", "version": __version__, "description": _SAYS},
        "paths": {
            "/listing": {"post": _post("The verdict on one listing", _body("listing"), _answer("verdict"))},
            "/listings": {
                "post": _post(
                    "Verdicts on many listings: one JSON object per line in, one per line out, in order",
                    _lines("listing"),
                    {"description": "One answer for each line", **_lines("verdict")},
                )
            },
            "/marking": {"post": _post("A marking, decoded", _object({"text": _TEXT}), _answer("decode"))},
            "/pair": {
                "post": _post(
                    "May the tire marked `new` stand in for the one marked `old`",
                    _object({"old": _TEXT, "new": _TEXT}, {"required": {"type": "boolean", "default": False}}),
                    _answer("substitute"),
                )
            },
            "/schemas": {"get": _get("The names of the JSON Schemas", {"type": "array", "items": _TEXT})},
            "/schemas/{name}": {
                "get": {
                    **_get("One JSON Schema", {"type": "object"}),
                    "parameters": [{"name": "name", "in": "path", "required": True, "schema": _TEXT}],
                }
            },
            "/health": {"get": {**_get("That the service answers", _HEALTH), "security": []}},
            "/openapi.json": {"get": _get("This document", {"type": "object"})},
        },
        "components": {
            "schemas": {**{name: published_schema(name) for name in _USED}, "problem": _PROBLEM},
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
        },
        "security": [{}, {"token": []}],
    }


_HEALTH = {
    "type": "object",
    "required": ["status", "program", "rules"],
    "properties": {
        "status": {"const": "ok"},
        "program": {**_TEXT, "description": "The version of the program."},
        "rules": {**_TEXT, "description": "SHA-256 of the rule book in force."},
    },
}
_PROBLEM = {
    "title": "Problem details, by RFC 9457",
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": _TEXT,
        "title": _TEXT,
        "status": {"type": "integer"},
        "detail": {**_TEXT, "description": "One sentence: what is wrong, and what to do."},
        "field": {**_TEXT, "description": "The member that is wrong, where it is one."},
        "limit_bytes": {"type": "integer"},
    },
}


def _named(name: str) -> dict[str, Any]:
    return {"schema": {"$ref": f"#/components/schemas/{name}"}}


def _body(name: str) -> dict[str, Any]:
    return {"required": True, "content": {"application/json": _named(name)}}


def _lines(name: str) -> dict[str, Any]:
    return {"content": {"application/jsonl": _named(name)}}


def _object(required: dict[str, Any], more: dict[str, Any] | None = None) -> dict[str, Any]:
    schema = {"type": "object", "required": list(required), "properties": {**required, **(more or {})}}
    return {"required": True, "content": {"application/json": {"schema": schema}}}


def _answer(name: str) -> dict[str, Any]:
    return {"description": "The answer", "content": {"application/json": _named(name)}}


def _post(summary: str, body: dict[str, Any], answer: dict[str, Any]) -> dict[str, Any]:
    problem = {"description": "A problem", "content": {"application/problem+json": _named("problem")}}
    return {"summary": summary, "requestBody": body, "responses": {"200": answer, "default": problem}}


def _get(summary: str, schema: dict[str, Any]) -> dict[str, Any]:
    answer = {"description": "The answer", "content": {"application/json": {"schema": schema}}}
    return {"summary": summary, "responses": {"200": answer}}
