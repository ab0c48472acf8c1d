"""When the build builds: after a change of what it reads, and not otherwise."""

from pathlib import Path

import pytest

from webapp.asset_build import build

SOURCES = (
    "static/main.js",
    "static/steps/capture.js",
    "webapp/core/optics.py",
    "webapp/records/kinds.json",
)


@pytest.fixture
def small_project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Point the build at a folder with one file of each kind that it reads."""
    for name in (*SOURCES, "webapp/core_bundle.py", "static/node_modules/idb/index.js"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("1\n", encoding="ascii")
    monkeypatch.setattr(build, "ROOT", tmp_path)
    monkeypatch.setattr(build, "STATIC", tmp_path / "static")
    return tmp_path


class TestSourceHash:
    """The stamp of a build."""

    @pytest.mark.parametrize("name", SOURCES)
    def test_an_edit_changes_it(self, small_project: Path, name: str) -> None:
        """An edit of a page, of the core or of the record kinds asks for a new build."""
        before = build.source_hash()
        (small_project / name).write_text("2\n", encoding="ascii")
        assert build.source_hash() != before

    def test_fetched_packages_do_not_count(self, small_project: Path) -> None:
        """What npm fetched is named by the lock file, and not read file by file."""
        before = build.source_hash()
        (small_project / "static/node_modules/idb/index.js").write_text("2\n", encoding="ascii")
        assert build.source_hash() == before


class TestBringUpToDate:
    """The decision."""

    @pytest.mark.parametrize(
        ("built_from", "always", "builds"),
        [("now", False, 0), ("now", True, 1), ("before", False, 1), (None, False, 1)],
    )
    def test_builds_only_when_needed(
        self, monkeypatch: pytest.MonkeyPatch, built_from: str | None, always: bool, builds: int
    ) -> None:
        """Nothing is built twice from the same sources, unless that is asked for."""
        made: list[str] = []
        monkeypatch.setattr(build, "source_hash", lambda: "now")
        monkeypatch.setattr(build, "_built_from", lambda: built_from)
        monkeypatch.setattr(build, "build_assets", lambda: made.append("built"))
        build.bring_up_to_date(always=always)
        assert len(made) == builds
