"""What a plan file is called, which format it has, how large it may be."""

from __future__ import annotations

FORMAT = 1
SUFFIX = ".plan.json"
MAX_FILE_BYTES = 50_000_000  # our choice: twice a plan of 5,000 sites


def size_words(size: int) -> str:
    """Return a size against the largest that is read."""
    return (
        f"it has {size / 1e6:,.1f} MB, and a plan file has at most {MAX_FILE_BYTES / 1e6:.0f} MB"
    )
