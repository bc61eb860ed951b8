"""Each way an install can be wrong is told with its id and a remedy."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.checks import CheckMessage
from pytest_django import Settings

from config.checks import (
    check_database,
    check_hosts,
    check_mail,
    check_metrics_token,
    check_public_url,
    check_secret_key,
    check_static_files,
)

SAFE = {
    "PRODUCTION": "true",
    "SECRET_KEY": "k3y-" * 15 + "-with-many-letters",
    "ALLOWED_HOSTS": "roofs.example",
}


def ids(messages: list[CheckMessage]) -> list[str | None]:
    """The ids; every message must carry a remedy."""
    assert all(message.hint for message in messages)
    return [message.id for message in messages]


@pytest.mark.parametrize(
    ("check", "wrong", "expected"),
    [
        (check_secret_key, {"SECRET_KEY": "short"}, "config.E001"),
        (check_hosts, {"ALLOWED_HOSTS": []}, "config.E002"),
        (check_hosts, {"ALLOWED_HOSTS": ["roofs.example", "*"]}, "config.E002"),
        (check_secret_key, {"SECRET_KEY": "django-insecure-0123456789" * 2}, "config.E001"),
        (check_static_files, {"PRODUCTION": True, "STATIC_ROOT": Path("/nowhere")}, "config.W001"),
        (check_public_url, {"PUBLIC_URL": "fans.company.example"}, "config.E005"),
        (check_public_url, {"PRODUCTION": True, "PUBLIC_URL": "http://a.example"}, "config.E005"),
        (check_mail, {"DEFAULT_FROM_EMAIL": "Fan service"}, "config.E004"),
        (check_mail, {"PRODUCTION": True, "MAIL": None}, "config.W002"),
        (check_metrics_token, {"METRICS_TOKEN": "figures"}, "config.E006"),
    ],
)
def test_check_when_setting_wrong_then_told(
    settings: Settings,
    check: Callable[[], list[CheckMessage]],
    wrong: dict[str, object],
    expected: str,
) -> None:
    for name, value in wrong.items():
        setattr(settings, name, value)
    assert ids(check()) == [expected]


@pytest.mark.parametrize(
    "check", [check_secret_key, check_hosts, check_mail, check_static_files, check_database]
)
def test_check_when_embedded_default_then_silent(
    settings: Settings, check: Callable[[], list[CheckMessage]]
) -> None:
    # The test runner adds its own host name, so ask what an install has.
    settings.ALLOWED_HOSTS = ["localhost"]
    assert check() == []


def run_check(root: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run `manage.py check --deploy` as an install with only these variables would."""
    kept = {"PATH": os.environ["PATH"]}
    return subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=root,
        env=kept | environment,
        capture_output=True,
        text=True,
        check=False,
    )


def test_production_when_configured_then_deploy_check_has_only_our_file_warning(
    root: Path, tmp_path: Path
) -> None:
    done = run_check(
        root,
        MAIL_URL="smtps://mail.roofs.example",
        DATA_DIR=str(tmp_path),
        **SAFE,
    )
    told = {word.strip("?():") for word in done.stderr.split() if ".W" in word or ".E" in word}
    assert told == {"config.W001"}


def test_production_when_workers_and_a_file_as_database_then_warned(
    root: Path, tmp_path: Path
) -> None:
    done = run_check(root, DATA_DIR=str(tmp_path), REDIS_URL="redis://jobs.example", **SAFE)
    assert "config.W004) Jobs go to workers by Redis" in done.stderr


def test_default_install_when_asked_whether_others_may_reach_it_then_one_setting_is_named(
    root: Path, tmp_path: Path
) -> None:
    done = run_check(root, DATA_DIR=str(tmp_path))
    told = {word.strip("?():") for word in done.stderr.split() if ".W" in word or ".E" in word}
    assert (told, "set PRODUCTION=true" in done.stderr) == ({"config.W003"}, True)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"SECRET_KEY": ""}, "SECRET_KEY is not set. Set it, or SECRET_KEY_FILE"),
        ({"SECRET_KEY": "short"}, "SECRET_KEY has 5 characters"),
        ({"SECRET_KEY": "ab" * 40}, "SECRET_KEY consists of 2 different characters"),
        ({"SECRET_KEY": SAFE["SECRET_KEY"] + "ChangeMe"}, "SECRET_KEY holds the word 'change'"),
        ({"ALLOWED_HOSTS": ""}, "ALLOWED_HOSTS is ''; it must name this site"),
        ({"ALLOWED_HOSTS": "roofs.example,*"}, "ALLOWED_HOSTS is 'roofs.example,*'"),
        ({"DEBUG": "true"}, "DEBUG and PRODUCTION are both true. Unset DEBUG"),
    ],
)
def test_production_when_unsafe_then_no_server_starts(
    root: Path, tmp_path: Path, wrong: dict[str, str], told: str
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import config.wsgi"],
        cwd=root, env={"PATH": os.environ["PATH"], "DATA_DIR": str(tmp_path), **SAFE, **wrong},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    said = done.stderr.strip().splitlines()[-1]
    assert (done.returncode, f"SettingError: {told}" in said) == (1, True)


def test_production_when_safe_then_a_server_starts(root: Path, tmp_path: Path) -> None:
    kept = {"PATH": os.environ["PATH"], "DATA_DIR": str(tmp_path)}
    subprocess.run(
        [sys.executable, "-c", "import config.wsgi"], cwd=root, env=kept | SAFE, check=True
    )
