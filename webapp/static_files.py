"""The browser's files as the build made them: hashed names never change, the others are asked for.

Beside each text file lies its Brotli form; a browser that takes it gets that one.
"""

import os.path
from pathlib import Path

from flask import Blueprint, Response, abort, current_app, request, send_file
from werkzeug.security import safe_join

bp = Blueprint("static_files", __name__)

FOR_EVER = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"

TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
}


@bp.get("/app/", defaults={"route": ""})
@bp.get("/app/<path:route>")
def shell(route: str) -> Response:
    """Give the app's shell, whichever of its screens was asked for."""
    return _file("app.html", ASK_AGAIN)


@bp.get("/sw.js")
def service_worker() -> Response:
    """Give the service worker; at the root, so that it may serve the whole site."""
    return _file("sw.js", ASK_AGAIN)


@bp.get("/app.webmanifest")
def manifest() -> Response:
    """Give the description that makes the app installable."""
    return _file("app.webmanifest", ASK_AGAIN)


@bp.get("/assets/<name>")
def asset(name: str) -> Response:
    """Give a file whose name holds the hash of its content."""
    return _file(name, FOR_EVER, folder="assets")


@bp.get("/core/<name>.json")
def core(name: str) -> Response:
    """Give a calculation core by its hash."""
    return _file(f"{name}.json", FOR_EVER, folder="core")


def _file(name: str, cache: str, folder: str = "") -> Response:
    """Return a built file of one folder, compressed where the browser takes it."""
    content_type = TYPES.get(Path(name).suffix)
    # Joined to its own folder, so that no name leads to another one.
    found = safe_join(str(Path(current_app.config["BUILT_DIR"]) / folder), name)
    # os.path takes a name that no file system could hold for what it is: no file.
    if content_type is None or found is None or not os.path.isfile(found):
        abort(404)
    compressed = Path(f"{found}.br")
    takes_brotli = request.accept_encodings["br"] > 0 and compressed.is_file()
    response = send_file(compressed if takes_brotli else found, conditional=True, etag=True)
    response.headers["Content-Type"] = content_type
    response.headers["Cache-Control"] = cache
    response.headers["Vary"] = "Accept-Encoding"
    if takes_brotli:
        response.headers["Content-Encoding"] = "br"
    return response
