"""The browser's files: right types, kept for ever or asked for, compressed where taken."""

from pathlib import Path

import pytest

from tests.hospital import Client, Hospital
from webapp.app import create_app

FOR_EVER = "public, max-age=31536000, immutable"


@pytest.fixture
def client(hospital: Hospital, tmp_path: Path) -> Client:
    """Return a browser on a server with small stand-ins for the built files."""
    built = tmp_path / "built"
    files = {
        "app.html": b"<!doctype html>shell",
        "sw.js": b"// worker",
        "app.webmanifest": b"{}",
        "assets/app-1a2b.css": b"body{}",
        "assets/app-1a2b.css.br": b"compressed",
        "assets/mp-3c.wasm": b"\0asm",
        "assets/notes.txt": b"not served",
        "core/abc.json": b'{"sha256":"abc"}',
        "manifest.json": b'{"addresses": {"css": "/assets/app-1a2b.css"}}',
    }
    for name, content in files.items():
        (built / name).parent.mkdir(parents=True, exist_ok=True)
        (built / name).write_bytes(content)
    app = create_app(hospital.settings._replace(built_dir=built))
    return Client(app.test_client())


class TestFiles:
    """What a browser gets."""

    @pytest.mark.parametrize(
        ("address", "content_type", "cache"),
        [
            ("/app/", "text/html; charset=utf-8", "no-cache"),
            ("/app/any/screen", "text/html; charset=utf-8", "no-cache"),
            ("/sw.js", "text/javascript; charset=utf-8", "no-cache"),
            ("/app.webmanifest", "application/manifest+json", "no-cache"),
            ("/assets/app-1a2b.css", "text/css; charset=utf-8", FOR_EVER),
            ("/assets/mp-3c.wasm", "application/wasm", FOR_EVER),
            ("/core/abc.json", "application/json", FOR_EVER),
        ],
    )
    def test_has_its_type_and_its_life(
        self, client: Client, address: str, content_type: str, cache: str
    ) -> None:
        """A hashed name never changes; shell and service worker are asked for every time."""
        answer = client.get(address)
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == content_type
        assert answer.headers["Cache-Control"] == cache

    def test_is_compressed_for_who_takes_it(self, client: Client) -> None:
        """Brotli when accepted, plain otherwise, and caches keep them apart."""
        taken = client.get("/assets/app-1a2b.css", headers={"Accept-Encoding": "gzip, br"})
        plain = client.get("/assets/app-1a2b.css", headers={"Accept-Encoding": "gzip"})
        refused = client.get("/assets/app-1a2b.css", headers={"Accept-Encoding": "br;q=0"})
        assert (taken.data, taken.headers["Content-Encoding"]) == (b"compressed", "br")
        assert plain.data == refused.data == b"body{}"
        assert "Content-Encoding" not in plain.headers
        assert taken.headers["Vary"] == plain.headers["Vary"] == "Accept-Encoding"

    def test_unchanged_is_not_sent_again(self, client: Client) -> None:
        """The service worker's file is asked for with its tag and answered with 304."""
        tag = client.get("/sw.js").headers["ETag"]
        assert client.get("/sw.js", headers={"If-None-Match": tag}).status_code == 304

    @pytest.mark.parametrize(
        "address",
        [
            "/assets/../../settings.py", "/assets/%2e%2e/manifest.json", "/assets//etc/passwd",
            "/assets/notes.txt", "/core/../manifest.json", "/core/none.json", "/assets/",
            "/manifest.json", "/.git/config", "/assets/app-1a2b.css.br",
            f"/assets/{300 * 'a'}.js", f"/core/{300 * 'a'}.json", "/assets/%00.js",
        ],
    )  # fmt: skip
    def test_nothing_else_is_served(self, client: Client, address: str) -> None:
        """No way out of the folder, and only the types that belong there."""
        assert client.get(address, follow_redirects=True).status_code == 404


class TestFirstPage:
    """The landing page."""

    def test_names_both_doors_and_the_demo_people(self, client: Client) -> None:
        """It works without JavaScript and says that everything is invented."""
        page = client.get("/").text
        assert 'href="/app/"' in page
        assert 'href="/desk/"' in page
        for name in ("ambler", "quill", "verrill", "marsh", "fenn", "rook"):
            assert name in page
        assert "tern islands demo" in page
        assert "/assets/app-1a2b.css" in page
        assert "licensed surgeon" in page

    def test_of_a_real_server_names_nobody(self, hospital: Hospital) -> None:
        """No demo sign-in is shown, let alone accepted, outside the demo."""
        app = create_app(hospital.settings._replace(demo=False))
        page = Client(app.test_client()).get("/").text
        assert "ambler" not in page
        assert "tern islands demo" not in page
