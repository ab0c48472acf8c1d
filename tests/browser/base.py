"""The base hospital's server as a process that a test can stop, start again, and replace.

A run starts a hundred of them, and most of a second of each start is the reading in of libraries:
one process reads them once, and each server is a fork of it, with data and a port of its own.
"""

import multiprocessing
import os
import secrets
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from threading import Thread

from tests.browser import serve_demo

STARTED = "Serving on"
LOWEST_PORT, HOW_MANY_PORTS = 15_000, 17_000
"""Below those that Linux gives to connections: a server that is started again finds its port free,
whatever another process of the tests opened meanwhile."""
_forks = multiprocessing.get_context("forkserver")
# Without the program's own module each fork would read that in again.
_forks.set_forkserver_preload(["__main__", serve_demo.__name__])


class Base:
    """One server at one address; its data stay while it is stopped."""

    def __init__(self, data_dir: Path, built_dir: Path) -> None:
        self.data_dir = data_dir
        self.built_dir = built_dir
        self.phones_wait = False
        """Whether a new phone waits until its words were compared."""
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        self._process: ForkServerProcess | None = None
        self._reader: Thread | None = None

    def start(self) -> None:
        """Start, and return once it answers.

        Raises:
            AssertionError: it ended before that; with what it printed.
        """
        given = serve_demo.Given(self.data_dir, self.port, self.built_dir, self.phones_wait)
        hears, says = _forks.Pipe(duplex=False)
        self._process = _forks.Process(
            target=serve_demo.fork, args=(says, dict(os.environ), given), daemon=True
        )
        self._process.start()
        says.close()
        said = []
        with hears, open(os.dup(hears.fileno()), encoding="utf-8") as lines:
            for line in lines:
                said.append(line)
                if STARTED in line:
                    # Read on: a full pipe would stop the server.
                    self._reader = Thread(
                        target=_read_all, args=(os.dup(lines.fileno()),), daemon=True
                    )
                    self._reader.start()
                    return
        self._process.join()
        self._process = None
        raise AssertionError("the server did not start:\n" + "".join(said))

    def cpu_s(self) -> float:
        """Return the processor time that the server has used since it started [s]."""
        assert self._process
        assert self._process.pid
        return cpu_s_of(self._process.pid)

    def stop(self) -> None:
        """Stop as a power cut would; nothing is left listening."""
        if self._process:
            self._process.kill()
            self._process.join()
            self._process = None
        if self._reader:
            self._reader.join()
            self._reader = None


def _read_all(pipe: int) -> None:
    with open(pipe, "rb") as rest:
        rest.read()


def cpu_s_of(pid: int) -> float:
    """Return the processor time that a process has used since it started [s]."""
    # proc(5): utime and stime are fields 14 and 15; the name before them may hold spaces.
    said = Path(f"/proc/{pid}/stat").read_text(encoding="ascii")
    fields = said.rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def free_port() -> int:
    """Return a port that nobody listens on.

    Raises:
        OSError: a hundred ports were taken.
    """
    for _ in range(100):
        port = LOWEST_PORT + secrets.randbelow(HOW_MANY_PORTS)
        with socket.socket() as listener, suppress(OSError):
            listener.bind(("127.0.0.1", port))
            return port
    raise OSError("found no free port")


class _Portal(BaseHTTPRequestHandler):
    """A guest house's sign-in page: every address answers 200 with its own HTML."""

    PAGE = b"<!doctype html><title>Welcome</title><h1>Welcome to the guest house</h1>"

    # The names are those that http.server calls.
    def do_GET(self) -> None:
        """Answer with the page."""
        self.send_response(200)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(self.PAGE)))
        self.end_headers()
        self.wfile.write(self.PAGE)

    do_POST = do_GET  # noqa: N815 - the name that http.server calls

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


@contextmanager
def captive_portal(port: int) -> Iterator[None]:
    """Put another network's sign-in page where the base hospital was."""
    server = ThreadingHTTPServer(("127.0.0.1", port), _Portal)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
