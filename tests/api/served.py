"""The schema as the API serves it, and its parts."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import jsonschema_rs
from django.test import Client

from tests.api.asking import V1

DIALECT = "https://json-schema.org/draft/2020-12/schema"


@cache
def schema() -> Any:
    """The document; asked for as a test file is read, when there is no test host yet."""
    return Client(headers={"host": "localhost"}).get(f"{V1}/schema.json").json()


def operations() -> Iterator[tuple[str, dict[str, Any]]]:
    """Every operation under its method and path."""
    for path, methods in schema()["paths"].items():
        for method, operation in methods.items():
            yield f"{method.upper()} {path.removeprefix(V1)}", operation


def contents() -> Iterator[tuple[str, dict[str, Any]]]:
    """Every body that is sent or answered, under its operation and ``body`` or its status."""
    for name, operation in operations():
        bodies = {"body": operation.get("requestBody", {}), **operation["responses"]}
        for part, body in bodies.items():
            for content in body.get("content", {}).values():
                yield f"{name} {part}", content


def faults_of(value: Any, shape: Any) -> list[str]:
    """What is wrong with a value by a shape of the schema; an unknown member too."""
    whole = {"$schema": DIALECT, **_closed(shape), "components": _closed(schema()["components"])}
    validator = jsonschema_rs.Draft202012Validator(whole, validate_formats=True)
    return [f"{each.instance_path}: {each.message}" for each in validator.iter_errors(value)]


def _closed(shape: Any) -> Any:
    """The same shape without room for members that it does not name."""
    if isinstance(shape, list):
        return [_closed(each) for each in shape]
    if not isinstance(shape, dict):
        return shape
    told = {name: _closed(each) for name, each in shape.items()}
    is_object = told.get("type") == "object" and isinstance(told.get("properties"), dict)
    return {"additionalProperties": False, **told} if is_object else told
