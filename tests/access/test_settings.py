"""What a real server cannot run without, each named in one sentence."""

import re
from pathlib import Path

import pytest

from tests.access.shell import SECRET, environment
from webapp.settings import Settings, SettingsMissing


class TestSettings:
    """What a real server cannot run without."""

    def test_a_whole_environment(self, tmp_path: Path) -> None:
        """Secure cookies, one proxy, no demo."""
        settings = Settings.from_environment(environment(tmp_path))
        assert settings.secure_cookies
        assert not settings.demo
        assert (settings.trusted_hops, settings.trusted_hosts) == (1, ("eyes.example",))

    @pytest.mark.parametrize(
        ("changed", "names"),
        [
            ({"DATABASE_URL": ""}, "DATABASE_URL"),
            ({"LAMPSIDE_DATA": ""}, "LAMPSIDE_DATA"),
            ({"LAMPSIDE_DATA": "/no/such/folder"}, "/no/such/folder"),
            ({"LAMPSIDE_SECRET_KEY": ""}, "LAMPSIDE_SECRET_KEY_FILE"),
            ({"LAMPSIDE_SECRET_KEY": "short"}, "5 characters"),
            ({"LAMPSIDE_SECRET_KEY_FILE": "/no/such/file"}, "/no/such/file"),
            ({"LAMPSIDE_HOSTS": ""}, "LAMPSIDE_HOSTS"),
            ({"LAMPSIDE_HOPS": "many"}, "LAMPSIDE_HOPS"),
            ({"LAMPSIDE_HOPS": "0"}, "LAMPSIDE_HOPS"),
        ],
    )
    def test_each_missing_part_is_named(
        self, tmp_path: Path, changed: dict[str, str], names: str
    ) -> None:
        """One sentence, which never repeats a secret."""
        with pytest.raises(SettingsMissing, match=re.escape(names)) as missing:
            Settings.from_environment(environment(tmp_path, **changed))
        assert str(missing.value).endswith(".")
        assert SECRET not in str(missing.value)

    def test_the_secret_may_lie_in_a_file(self, tmp_path: Path) -> None:
        """The file wins over the variable."""
        (tmp_path / "secret").write_text("f" * 40 + "\n")
        found = Settings.from_environment(
            environment(tmp_path, LAMPSIDE_SECRET_KEY_FILE=str(tmp_path / "secret"))
        )
        assert found.secret_key == "f" * 40

    def test_the_demo_keeps_its_secret_for_its_owner(self, tmp_path: Path) -> None:
        """Made once, readable by its owner only."""
        first = Settings.for_demo(tmp_path).secret_key
        assert Settings.for_demo(tmp_path).secret_key == first
        assert len(first) >= 64
        assert (tmp_path / "secret_key").stat().st_mode & 0o077 == 0
