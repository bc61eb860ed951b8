"""Connections to PostgreSQL are kept between requests, and what is asked often is planned once."""

from __future__ import annotations

import psycopg
import pytest
from django.core.signals import request_finished, request_started
from django.db import connection

from schedules.due.truth import read_truth

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def backend() -> int:
    """The server process behind this connection."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        return int(cursor.fetchone()[0])


def test_connection_when_a_request_ends_then_the_next_has_it_again() -> None:
    before = backend()
    request_finished.send(None)
    request_started.send(None)
    assert backend() == before


def test_connection_when_the_server_dropped_it_then_the_next_request_has_a_new_one() -> None:
    before = backend()
    with psycopg.connect(**connection.get_connection_params()) as other:
        other.execute("SELECT pg_terminate_backend(%s)", [before])
    request_finished.send(None)
    request_started.send(None)
    assert backend() != before


def test_question_when_asked_again_then_its_plan_is_there() -> None:
    for _ in range(3):
        read_truth([1])
    with connection.cursor() as cursor:
        cursor.execute("SELECT generic_plans > 0, custom_plans FROM pg_prepared_statements")
        assert cursor.fetchall() == [(True, 0)]
