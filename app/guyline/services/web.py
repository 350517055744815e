"""Asks web servers for files: no other protocol, no endless waiting, no surprise."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPException, HTTPResponse
from typing import cast
from urllib.error import HTTPError, URLError
from urllib.request import (
    HTTPDefaultErrorHandler,
    HTTPErrorProcessor,
    HTTPHandler,
    HTTPRedirectHandler,
    HTTPSHandler,
    OpenerDirector,
    ProxyHandler,
    Request,
    UnknownHandler,
)

TIMEOUT_S = 15.0  # without a byte: our choice
_AGENT = "guyline"
_CONTENT_RANGE = re.compile(r"bytes (\d+)-\d+/(\d+)")


class WebError(Exception):
    """The server cannot be reached, or does not do what it should."""


class NotThereError(WebError):
    """The server has no such file."""


class RangeError(WebError):
    """The file is not longer than what is here already."""


class Answer:
    """What a server sends; `start` is where in the file it begins, `total` how long that is."""

    def __init__(self, response: HTTPResponse) -> None:
        self._response = response
        self.length = _length(response)
        span = _CONTENT_RANGE.match(response.headers.get("Content-Range", ""))
        is_part = response.status == 206 and span is not None
        self.start = int(span[1]) if is_part and span is not None else 0
        self.total = None if self.length is None else self.start + self.length

    def read(self, most_bytes: int) -> bytes:
        """Return the bytes that have come, at least one of them; none at the end.

        Raises
        ------
        WebError
            The connection broke, or nothing came for too long.
        """
        try:
            return self._response.read1(most_bytes)
        except (OSError, HTTPException) as error:
            raise WebError(_reason(error)) from error


@contextmanager
def asked(url: str, *, method: str = "GET", start: int = 0) -> Iterator[Answer]:
    """Ask for a file, from a byte on where the server can do that.

    Raises
    ------
    WebError
        It cannot be had; `NotThereError` and `RangeError` where the server says so.
    """
    headers = {"User-Agent": _AGENT, "Accept-Encoding": "identity"}
    if start:
        headers["Range"] = f"bytes={start}-"
    try:
        response = cast(
            "HTTPResponse",
            _OPENER.open(Request(url, method=method, headers=headers), timeout=TIMEOUT_S),
        )
    except HTTPError as error:
        error.close()
        raise _refusal(error.code) from error
    except (URLError, OSError, HTTPException, ValueError) as error:
        raise WebError(_reason(error)) from error
    try:
        answer = Answer(response)
        if answer.start not in (0, start):
            raise WebError("the server sent another part than it was asked for")
        yield answer
    finally:
        response.close()


def _opener() -> OpenerDirector:
    """Return what opens addresses of the web and nothing else: no files, no FTP."""
    opener = OpenerDirector()
    for handler in (
        ProxyHandler(),
        HTTPHandler(),
        HTTPSHandler(),
        HTTPRedirectHandler(),
        HTTPErrorProcessor(),
        HTTPDefaultErrorHandler(),
        UnknownHandler(),
    ):
        opener.add_handler(handler)
    return opener


_OPENER = _opener()


def _length(response: HTTPResponse) -> int | None:
    text = response.headers.get("Content-Length", "")
    return int(text) if text.isdigit() else None


def _refusal(status: int) -> WebError:
    if status in (404, 410):
        return NotThereError("there is no such file")
    if status == 416:
        return RangeError("there is nothing beyond what is here")
    return WebError(f"the server answers with error {status}")


def _reason(error: Exception) -> str:
    cause = error.reason if isinstance(error, URLError) else error
    if isinstance(error, ValueError) or isinstance(cause, str):
        return "that is no address of the web"
    if isinstance(cause, TimeoutError):
        return f"nothing came for {TIMEOUT_S:.0f} seconds"
    if isinstance(cause, ConnectionRefusedError):
        return "the server refuses the connection"
    if isinstance(cause, OSError):
        return "the network cannot be reached"
    return "the connection broke off"
