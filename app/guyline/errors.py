"""Errors that a user can do something about.

GuylineError                  what happened (`str(error)`) and what to do next (`advice`)
├── InputError                a value typed or imported is out of range
├── PlanFileError             a plan cannot be read or written
├── CatalogueError            a table of equipment or rules is wrong
├── TerrainError              elevation is missing or unreadable
├── WeatherError              climate or weather values cannot be had
└── DocumentError             a sheet or another document cannot be made
JobCancelled                  is a wish, not an error, and stands apart.
"""


class GuylineError(Exception):
    """`str(error)` says what happened and where; `advice` says what to do next."""

    def __init__(self, message: str, *, advice: str = "") -> None:
        super().__init__(message)
        self.advice = advice


class InputError(GuylineError):
    """A value typed or imported is out of range."""


class PlanFileError(GuylineError):
    """A plan cannot be read or written."""


class CatalogueError(GuylineError):
    """A table of equipment or rules is wrong."""


class TerrainError(GuylineError):
    """Elevation is missing or unreadable."""


class WeatherError(GuylineError):
    """Climate or weather values cannot be had."""


class DocumentError(GuylineError):
    """A sheet or another document cannot be made."""


class JobCancelled(Exception):  # noqa: N818 - a wish, not an error
    """Unwinds a job which the user asked to stop."""
