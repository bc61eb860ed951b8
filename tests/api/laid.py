"""People and roofs laid down once for all tests of a file; what each test does to them is undone.

For files that ask one record hundreds of times: laying it takes longer than asking.  A file takes
part by importing these fixtures and by making its record one of them.  What is in memory is shared
as the rows are: no test changes it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pytest_django.plugin import DjangoDbBlocker

from fleet.models import Person
from tests.api.fuzzing import undone
from tests.people import lay_roofs, owner_of

Kept = dict[str, Any]


ROLES = {
    "mara": Person.Role.MANAGER, "dana": Person.Role.DISPATCHER, "theo": Person.Role.TECHNICIAN,
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def kept_rows(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Kept]:
    """A transaction around all tests of the file, each of which has a savepoint in it.

    All are laid before the first test: what a test were the first to ask for would go with it.
    """
    with django_db_blocker.unblock(), undone():
        roofs = lay_roofs()
        people = {name: Person.objects.create_user(name, role=role) for name, role in ROLES.items()}
        owners = {"olga": owner_of(roofs.bakery, "olga"), "sam": owner_of(roofs.diner, "sam")}
        yield {"roofs": roofs, **people, **owners}


def _kept(name: str) -> Any:
    @pytest.fixture(name=name, scope="module")
    def kept(kept_rows: Kept) -> Any:
        return kept_rows[name]

    return kept


kept_roofs = _kept("roofs")
kept_mara, kept_dana, kept_theo = map(_kept, ROLES)
kept_olga, kept_sam = map(_kept, ("olga", "sam"))


@pytest.fixture(name="photo_folder", scope="module", autouse=True)
def kept_photos(photos_apart: Path) -> Path:
    """One folder for all of them: a photo that is on record is found by each."""
    return photos_apart
