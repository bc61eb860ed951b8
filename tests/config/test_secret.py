"""The embedded install's key is made once and kept to its owner."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from config.env import SettingError
from config.secret import keep_secret_key


def test_key_when_asked_by_many_at_once_then_all_get_the_same(tmp_path: Path) -> None:
    with ThreadPoolExecutor(16) as pool:
        keys = set(pool.map(keep_secret_key, [tmp_path / "data"] * 64))
    assert len(keys) == 1


def test_key_when_kept_then_long_and_only_owner_may_read(tmp_path: Path) -> None:
    key = keep_secret_key(tmp_path)
    path = tmp_path / "secret_key"
    assert (len(key) >= 50, path.stat().st_mode & 0o777) == (True, 0o600)


def test_key_when_kept_then_no_draft_is_left(tmp_path: Path) -> None:
    keep_secret_key(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]


@pytest.mark.parametrize("content", [b"", b" \n", b"k\xff\xfe"])
def test_key_when_its_file_holds_none_then_told(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "secret_key").write_bytes(content)
    with pytest.raises(SettingError, match="secret_key' holds no secret key"):
        keep_secret_key(tmp_path)
