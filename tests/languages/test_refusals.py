"""What a phone is refused, and told of what was taken, is in the language of who carries it.

Asked of a real server, by a browser's session and by a key.
"""

from __future__ import annotations

import http.client
import json
from typing import Any
from urllib.parse import urlencode, urlsplit
from uuid import uuid4

import pytest
from pytest_django.live_server_helper import LiveServer

from fleet.models import Fan, Person
from fleet.services.keys import give_key
from tests.api.logs import BATCH, VISITS, walk
from tests.languages.spanish import english_in, listening, words_in
from tests.people import Roofs
from tests.visits.photographs import photo

MACHINE = {
    "id", "type", "title", "code", "pointer", "parameter", "tag", "verdict", "subject", "item",
    "quantity", "unit", "rule", "why", "stage", "source", "standing", "due_rule", "overdue_rule",
    "arguments", "left_out", "worst", "worst_open", "seen",
}  # fmt: skip
"""Members of an answer that programs read, and what was sent."""
NAMES = ("Alder Bakery", "Alder Kitchens", "id", "readings", "fan")

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.once]


class Phone:
    """A Spanish-speaking technician's, with a key, at the other end of a connection."""

    def __init__(self, site: str, key: str) -> None:
        self.site, self.key = urlsplit(site).netloc, key

    def ask(self, address: str, body: bytes, **headers: str) -> tuple[int, dict[str, str], bytes]:
        link = http.client.HTTPConnection(self.site, timeout=60)
        told = {"Content-Type": "application/json", "Accept-Language": "en-US,en"}
        known = {"Authorization": f"Token {self.key}"} if self.key else {}
        link.request("POST", address, body, {**told, **known, **headers})
        answer = link.getresponse()
        found = answer.status, dict(answer.getheaders()), answer.read()
        link.close()
        return found

    def log(self, *records: Any) -> list[dict[str, Any]]:
        """What became of each record."""
        status, headers, told = self.ask(BATCH, json.dumps({"records": records}).encode())
        assert (status, headers["Content-Language"]) == (200, "es")
        results: list[dict[str, Any]] = json.loads(told)["results"]
        return results


@pytest.fixture
def phone(live_server: LiveServer, theo: Person) -> Phone:
    Person.objects.filter(pk=theo.pk).update(language="es")
    theo.refresh_from_db()
    return Phone(live_server.url, give_key(person=theo, name="phone")[1])


def english(told: Any, *names: str) -> set[str]:
    said = " ".join(words_in(told, but=MACHINE))
    for name in (*NAMES, *names):
        said = said.replace(name, "")
    return english_in(said)


def reading(value: Any, name: str = "volts_ab") -> Any:
    return lambda fan: walk(fan, checks=[{"fan": fan.tag, "readings": {name: value}}])


def check(**parts: Any) -> Any:
    return lambda fan: walk(fan, checks=[{"fan": fan.tag, **parts}])


PLATE = {"kind": "replaced", "item": "machine"}


def replaced(**plate: Any) -> Any:
    return lambda fan: walk(fan, actions=[{"fan": fan.tag, **PLATE, "machine": plate}])


REFUSED = {
    "wrong unit": (reading("3 A"), "escribirlo en una de V"),
    "unknown unit": (reading("3 furlong"), "'furlong' no es una unidad que conozcamos"),
    "out of range": (reading("99999"), "volts_ab no puede ser correcto"),
    "no reading": (reading("many"), "volts_ab no es una lectura"),
    "unknown fan": (lambda fan: walk(fan, checks=[{"fan": "EF-9"}]), "no tiene ese extractor"),
    "unknown reading": (reading(1, "vlots"), "no se conoce esta lectura"),
    "unknown state": (check(seen={"hinge": "odd"}), "no se conoce ese valor de hinge"),
    "no day": (lambda fan: walk(fan, began_at="gestern"), "began_at no es un día ni una hora"),
    "future": (lambda fan: walk(fan, began_at="2199-01-01"), "esto está en el futuro"),
    "too long": (check(notes="x" * 5000), "notes tiene 5000 caracteres"),
    "unknown site": (lambda fan: {**walk(fan), "site_id": 10**6}, "no existe ese sitio"),
    "no object": (lambda fan: 7, "aquí se espera un objeto"),
    "other type": (lambda fan: {"type": "dance"}, "aquí no se acepta este tipo"),
    "plate": (replaced(volts="208-/230"), "empieza o termina con un guion"),
    "power": (replaced(volts="230", full_load_amps="2", power_hp=40), "no es cosa de redondeo"),
    "belt": (replaced(drive="direct", belt="A42"), "no tiene banda"),
    "safe": (lambda fan: walk(fan, made_safe=[{"fan": fan.tag}]), "falta told"),
    "lasting": (
        lambda fan: walk(
            fan,
            findings=[
                {"fan": fan.tag, "item": "guard", "severity": "critical", "lasting": True}
            ],
        ),
        "no puede ser duradero",
    ),
}  # fmt: skip


@pytest.mark.parametrize("why", REFUSED)
def test_record_when_refused_then_all_people_read_is_spanish(
    why: str, phone: Phone, roofs: Roofs
) -> None:
    record, said = REFUSED[why]
    with listening() as missing:
        (told,) = phone.log(record(roofs.bakery))
    assert (told["status"], missing, english(told)) == (400, set(), set())
    assert said in json.dumps(told, ensure_ascii=False)
    assert (told["problem"]["code"], told["problem"]["title"]) == ("invalid", "Bad Request")


def test_record_when_its_id_has_other_content_then_told_so_in_spanish(
    phone: Phone, roofs: Roofs
) -> None:
    first = walk(roofs.bakery)
    _, told = phone.log(first, {**first, "notes": "another"})
    assert (told["status"], told["problem"]["code"]) == (409, "id_taken")
    assert told["problem"]["detail"].startswith("Este id ya es de otro registro;")


def bad_visit(fan: Fan) -> dict[str, Any]:
    """A stop, an act and a watch, felt and measured, and readings that somebody else may take."""
    seen = {"guard": "off", "curb": "loose", "wheel": "dirty", "running": "dead"}
    readings = {
        "vibration_motor_radial": "0.35 in/s peak", "grease_duct": "2500 um", "volts_ab": 180,
        "insulation": "0.5 megohm", "pole_1": 2,
    }  # fmt: skip
    lost = {
        "fan": fan.tag, "item": "switch", "severity": "critical", "loss_of_function": True,
        "failure_mode": "FTS", "mechanism": "humming",
    }  # fmt: skip
    return walk(fan, checks=[{"fan": fan.tag, "seen": seen, "readings": readings}], findings=[lost])


def test_visit_when_taken_then_all_that_is_answered_is_spanish(phone: Phone, roofs: Roofs) -> None:
    with listening() as missing:
        (told,) = phone.log(bad_visit(roofs.bakery))
    answer = told["answer"]
    assert (told["status"], missing, english(answer)) == (201, set(), set())
    sure = answer["cautions"], answer["failures"], answer["checks"][0]["left_out_sentence"]
    assert all(sure)


def test_reading_when_plate_and_feed_contradict_then_told_so_in_spanish(phone: Phone) -> None:
    body = {"readings": {"volts_ab": 575}, "plate": {"volts": "208-230/460"},
            "feed": {"connected_volts": "575"}}  # fmt: skip
    status, _, told = phone.ask("/api/v1/judge", json.dumps(body).encode())
    answer = json.loads(told)
    assert (status, english(answer)) == (200, set())
    assert "que la placa ('208-230/460') no ofrece" in answer["judgements"][0]["sentence"]


def test_visit_when_sent_again_from_another_browser_then_the_same_to_the_byte(
    phone: Phone, roofs: Roofs
) -> None:
    body = json.dumps(bad_visit(roofs.bakery)).encode()
    _, _, first = phone.ask(VISITS, body)
    wishes = [{}, {"Accept-Language": "en"}, {"Accept-Language": "es"}]
    again = [phone.ask(VISITS, body, **wish) for wish in wishes]
    assert [status for status, _, _ in again] == [200] * 3
    assert {told for _, _, told in again} == {first.replace(b'"created":true', b'"created":false')}


def sent_photo(phone: Phone, visit: Any, data: bytes, **words: str) -> dict[str, Any]:
    kind = words.pop("kind", "image/jpeg")
    address = f"{VISITS}/{visit}/photos?{urlencode({'id': str(uuid4()), **words})}"
    status, _, told = phone.ask(address, data, **{"Content-Type": kind})
    return {"status": status, **json.loads(told)}


HEIC = b"\0\0\0\x18ftypheic" + b"\0" * 40
PHOTOS: dict[str, tuple[bytes, dict[str, str], int, str]] = {
    "HEIC": (HEIC, {}, 400, "esto es HEIC o algo parecido"),
    "no picture": (b"GIF89a" + b"\0" * 40, {}, 400, "esto no es una imagen que conozcamos"),
    "cut short": (photo()[:300], {}, 400, "la imagen está dañada o incompleta"),
    "of another fan": (photo(), {"fan": "EF-9"}, 400, "no dice nada de este extractor"),
    "of nothing": (photo(), {"subject": "nose"}, 400, "no se conoce ese valor de subject"),
    "of another kind": (photo(), {"kind": "text/plain"}, 415, "No se acepta un envío"),
}


@pytest.mark.parametrize("why", PHOTOS)
def test_photo_when_refused_then_told_so_in_spanish(why: str, phone: Phone, roofs: Roofs) -> None:
    data, words, status, said = PHOTOS[why]
    visit = walk(roofs.bakery)
    phone.log(visit)
    with listening() as missing:
        told = sent_photo(phone, visit["id"], data, **words)
    assert (told["status"], missing, english(told)) == (status, set(), set())
    assert said in json.dumps(told, ensure_ascii=False)


def test_photo_when_too_large_then_told_so_in_spanish_before_it_is_read(
    phone: Phone, roofs: Roofs
) -> None:
    visit = walk(roofs.bakery)
    phone.log(visit)
    address = f"{VISITS}/{visit['id']}/photos?id={uuid4()}"
    told = {"Content-Type": "image/jpeg", "Content-Length": "20000001"}
    status, _, answer = phone.ask(address, b"\xff\xd8\xff", **told)
    detail = "Lo enviado tiene más de 20,000,000 bytes; enviar menos a la vez."
    assert (status, json.loads(answer)["detail"]) == (413, detail)


def test_photo_when_its_visit_is_not_there_then_told_so_in_spanish(phone: Phone) -> None:
    told = sent_photo(phone, uuid4(), photo())
    assert (told["status"], told["detail"]) == (404, "Aquí no existe, o no le corresponde verlo.")


def test_queue_when_too_long_then_told_so_in_spanish(phone: Phone, roofs: Roofs) -> None:
    status, _, told = phone.ask(BATCH, b'{"records":["' + b"x" * 10_000_001 + b'"]}')
    detail = "Lo enviado tiene más de 10,000,000 bytes; enviar menos a la vez."
    assert (status, json.loads(told)["detail"]) == (413, detail)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("es-MX,es;q=0.9", "No hay ninguna sesión abierta."),
        ("en-US", "Nobody is signed in."),
        ("pl", "Nobody is signed in."),
    ],
)
def test_queue_when_the_session_ended_then_told_so_as_the_browser_would_have_it(
    wish: str, said: str, live_server: LiveServer
) -> None:
    phone = Phone(live_server.url, "")
    status, _, told = phone.ask(BATCH, b"{}", **{"Accept-Language": wish})
    assert (status, json.loads(told)["detail"].partition(" Send")[0].partition(" Enviar")[0]) == (
        401, said,
    )  # fmt: skip
