"""Bodies that no honest client sends: each refused with a sentence, never a fault of ours."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.test import Client

from config.api.bodies import DEEPEST, read_json
from config.api.problems import ProblemError
from tests.api.asking import V1


def refused(data: bytes, most_bytes: int = 1000) -> tuple[int, Any]:
    with pytest.raises(ProblemError) as caught:
        read_json(BytesIO(data), most_bytes)
    return caught.value.status_code, caught.value.get_codes()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", (400, "not_json")),
        (b"{", (400, "not_json")),
        (b'{"a": NaN}', (400, "not_json")),
        (b"-Infinity", (400, "not_json")),
        (b'{"a": 1, "a": 2}', (400, "not_json")),
        (b"1" * 5000, (413, "too_large")),
        (b"1" * 900, (200, 0)),
        (b'"\xff"', (400, "not_utf8")),
        (rb'{"a": "\ud800"}', (400, "invalid")),
        (b'{"a": 1}'.decode().encode("utf-16"), (400, "not_utf8")),
        (b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1), (400, "too_deep")),
        (b"[" * 499 + b"]" * 499, (400, "too_deep")),
    ],
)
def test_body_when_no_honest_client_sends_it_then_refused(
    data: bytes, told: tuple[int, Any]
) -> None:
    if told[0] == 200:
        assert read_json(BytesIO(data), 1000) == int(data)
    else:
        assert refused(data) == told


def test_body_when_a_byte_order_mark_stands_first_then_passed_over() -> None:
    # RFC 8259, 8.1: who reads may ignore it.
    assert read_json(BytesIO(b'\xef\xbb\xbf{"a": 1}'), 1000) == {"a": 1}


def test_body_when_nested_beyond_the_stack_then_refused() -> None:
    assert refused(b"[" * 200_000 + b"]" * 200_000, 1_000_000) == (400, "too_deep")


def test_body_when_as_deep_as_allowed_then_taken() -> None:
    assert read_json(BytesIO(b"[" * DEEPEST + b"]" * DEEPEST), 1000)


def test_body_when_in_chunks_that_the_server_did_not_put_together_then_411() -> None:
    answer = Client().generic("POST", f"{V1}/visits", HTTP_TRANSFER_ENCODING="chunked")
    assert (answer.status_code, answer.json()["code"]) == (411, "length_missing")


@pytest.mark.django_db
def test_body_when_of_another_type_then_415() -> None:
    answer = Client().post(f"{V1}/keys", "a=b", content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 415


def test_body_when_a_number_is_endless_then_told_in_words_of_ours() -> None:
    with pytest.raises(ProblemError, match="a number of 5000 digits"):
        read_json(BytesIO(b"9" * 5_000), 10_000)
