"""A web server with manners good and bad, for the tests of downloads; runs on its own.

    python tile_server.py FOLDER

Prints its port. The first part of a path says how it behaves, the last names a file of FOLDER.
"""

from __future__ import annotations

import sys
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import urlsplit

FOLDER = Path(sys.argv[1])
asked: list[str] = []


class TileHandler(BaseHTTPRequestHandler):
    """Behaves as the path says."""

    protocol_version = "HTTP/1.1"

    def log_message(self, *_args: object) -> None:
        """Say nothing."""

    def do_HEAD(self) -> None:
        self.answer()

    def do_GET(self) -> None:
        self.answer()

    def answer(self) -> None:
        manner, _, name = urlsplit(self.path).path.strip("/").partition("/")
        self.close_connection = True
        if manner == "asked":
            return self.send("\n".join(asked).encode())
        asked.append(f"{self.command} {self.path} {self.headers.get('Range', '')}".strip())
        if manner in ("301", "302"):
            target = {"file": "file:///etc/passwd", "loop": self.path}.get(name, f"/ok/{name}")
            return self.send(b"", int(manner), Location=target)
        if manner.isdigit():
            return self.send(b"no", int(manner))
        path = FOLDER / name
        if manner == "login":
            return self.send(b"<html>Please log in</html>")
        if not path.is_file():
            return self.send(b"no", 404)
        return self.file(manner, path.read_bytes())

    def file(self, manner: str, data: bytes) -> None:
        start = 0
        span = self.headers.get("Range", "")
        if span and manner != "norange":
            start = int(span.removeprefix("bytes=").rstrip("-"))
            if start >= len(data):
                return self.send(b"", 416)
        body = data[start:]
        status = 206 if start else 200
        extra = {"Content-Range": f"bytes {start}-{len(data) - 1}/{len(data)}"} if start else {}
        if manner == "shifted" and start:
            extra = {"Content-Range": f"bytes 7-{len(data) - 1}/{len(data)}"}
        if manner == "cut" and not start:
            return self.send(body[: len(body) // 2], status, len(body), **extra)
        if manner == "boast":
            return self.send(body, status, 10**12)
        if manner == "nolength":
            return self.send(body, status, -1)
        if manner == "slow":
            return self.drip(body)
        return self.send(body, status, **extra)

    def drip(self, body: bytes) -> None:
        self.head(200, len(body))
        for i in range(0, len(body), 1000):
            self.wfile.write(body[i : i + 1000])
            self.wfile.flush()
            time.sleep(0.05)

    def send(self, body: bytes, status: int = 200, length: int | None = None, **more: str) -> None:
        self.head(status, len(body) if length is None else length, **more)
        if self.command != "HEAD":
            self.wfile.write(body)

    def head(self, status: int, length: int, **more: str) -> None:
        self.send_response(status)
        if length >= 0:
            self.send_header("Content-Length", str(length))
        for name, value in more.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Connection", "close")
        self.end_headers()


if __name__ == "__main__":
    server = ThreadingHTTPServer(("127.0.0.1", 0), TileHandler)
    sys.stdout.write(f"{server.server_address[1]}\n")
    sys.stdout.flush()
    server.serve_forever()
