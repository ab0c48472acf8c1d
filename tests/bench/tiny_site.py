"""A few files served from memory: the pages that the app is measured against or beside."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

PAGES = Path(__file__).parent / "pages"
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".wasm": "application/wasm",
}


@contextmanager
def served(files: Mapping[str, bytes]) -> Iterator[str]:
    """Serve files by address, each of the type its name says; yield the address of the site."""
    handler = type("Files", (_Handler,), {"files": files})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://localhost:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class _Handler(BaseHTTPRequestHandler):
    """Answers from ``files``."""

    files: Mapping[str, bytes]

    # The name is the one that http.server calls.
    def do_GET(self) -> None:
        """Answer with the file, or 404."""
        content = self.files.get(self.path)
        self.send_response(200 if content is not None else 404)
        name = self.path if not self.path.endswith("/") else self.path + "index.html"
        self.send_header("Content-Type", TYPES.get(Path(name).suffix, "text/plain"))
        self.send_header("Content-Length", str(len(content or b"")))
        self.end_headers()
        self.wfile.write(content or b"")

    def log_message(self, *_words: object) -> None:
        """Say nothing."""
