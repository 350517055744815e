"""Zip archives of strangers: read in memory, never further than allowed, no name a path."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager

from guyline.errors import InputError
from guyline.services.interchange.place import MOST_BYTES, check_size

MOST_ENTRIES = 1_000
# RuntimeError: locked by a password; NotImplementedError: an odd compression; ValueError: places
# in the file that are none
_DAMAGE = (
    zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, NotImplementedError,
    ValueError,
)  # fmt: skip


@contextmanager
def opened_archive(data: bytes, advice: str) -> Iterator[zipfile.ZipFile]:
    """Give an archive to read from; whatever is wrong with it becomes a sentence.

    Raises
    ------
    InputError
        It is damaged, or locked.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            yield archive
    except _DAMAGE as error:
        raise InputError("The archive is damaged or locked.", advice=advice) from error


def content_of(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """Return what a file of an archive holds, in memory.

    Raises
    ------
    InputError
        It is larger than allowed.
    """
    with archive.open(entry) as packed:
        content = packed.read(MOST_BYTES + 1)
    check_size(content)
    return content
