"""The schema that the API serves: valid, complete, and its examples true."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import drf_spectacular.validation
import jsonschema_rs
import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from fleet.models import Person
from tests.api.asking import V1, by_key
from tests.api.served import DIALECT, contents, faults_of, operations, schema


def worded(place: str, content: dict[str, Any]) -> bool:
    """Whether this is JSON and no refusal: pictures have no example."""
    is_bytes = content["schema"].get("format") == "binary"
    return not is_bytes and (place.endswith("body") or place[-3:] < "400")


def examples() -> Iterator[tuple[str, Any, Any]]:
    """Every example with the shape that it is an example of."""
    for place, content in contents():
        for told in content.get("examples", {}).values():
            yield f"{place}: {told.get('summary', '')}", content["schema"], told["value"]


def test_schema_when_checked_by_its_structure_then_openapi_3_1() -> None:
    assert [str(each) for each in OpenAPIV31SpecValidator(schema()).iter_errors()] == []


def test_schema_when_checked_by_the_published_schema_then_openapi_3_1() -> None:
    # https://spec.openapis.org/oas/3.1/schema/2022-10-07 (Apache-2.0) as drf-spectacular brings it,
    # in another engine than openapi-spec-validator's.
    folder = Path(drf_spectacular.validation.__file__).parent
    published = json.loads((folder / "openapi_3_1_schema.json").read_text())
    validator = jsonschema_rs.Draft202012Validator(published)
    assert [each.message for each in validator.iter_errors(schema())] == []


@pytest.mark.parametrize("name", sorted(schema()["components"]["schemas"]))
def test_shape_when_checked_by_the_published_dialect_then_a_json_schema(name: str) -> None:
    # What OpenAPI's schema leaves open: https://json-schema.org/draft/2020-12/schema.
    jsonschema_rs.meta.validate(schema()["components"]["schemas"][name] | {"$schema": DIALECT})


@pytest.mark.parametrize(("name", "operation"), list(operations()))
def test_operation_when_read_then_says_in_a_sentence_what_it_does(
    name: str, operation: dict[str, Any]
) -> None:
    assert 5 < len(operation.get("summary", "")) < 130


def test_operation_ids_when_collected_then_each_once() -> None:
    names = [operation["operationId"] for _, operation in operations()]
    assert sorted(set(names)) == sorted(names)


@pytest.mark.parametrize(("name", "operation"), list(operations()))
def test_operation_when_it_needs_a_key_then_says_so_and_how_it_refuses(
    name: str, operation: dict[str, Any]
) -> None:
    schemes = sorted(way for each in operation.get("security", []) for way in each)
    assert (schemes, "401" in operation["responses"]) == (
        [] if name == "POST /keys" else ["cookieAuth", "deviceKey"],
        True,
    )


@pytest.mark.parametrize(("name", "operation"), list(operations()))
def test_refusals_when_declared_then_problems(name: str, operation: dict[str, Any]) -> None:
    told = {
        media: content["schema"]["$ref"]
        for status, answer in operation["responses"].items()
        if status >= "400"
        for media, content in answer["content"].items()
    }
    assert told == {"application/problem+json": "#/components/schemas/Problem"}


@pytest.mark.parametrize(
    ("place", "content"),
    [each for each in contents() if worded(*each)],
)
def test_body_when_sent_or_answered_then_has_an_example(
    place: str, content: dict[str, Any]
) -> None:
    assert content.get("examples")


@pytest.mark.parametrize(("place", "shape", "value"), list(examples()))
def test_example_when_held_to_its_own_shape_then_fits(place: str, shape: Any, value: Any) -> None:
    assert faults_of(value, shape) == []


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["GET /due", "GET /visits", "GET /fans", "GET /sites"])
def test_list_when_read_then_the_schema_tells_every_parameter_that_it_knows(
    name: str, mara: Person
) -> None:
    told = {each["name"] for each in dict(operations())[name]["parameters"]}
    answer = by_key(mara).get(f"{V1}/{name.partition('/')[2]}", {"surely_not": 1})
    known = answer.json()["errors"][0]["remedy"].removeprefix("known here: ").split(", ")
    assert told == set(known)


def test_list_when_told_in_part_then_the_schema_requires_nothing_of_a_row() -> None:
    shapes = schema()["components"]["schemas"]
    row = shapes["PaginatedFanList"]["properties"]["results"]["items"]["$ref"]
    assert "required" not in shapes[row.rpartition("/")[2]]
