"""Coordinates as people write them: read forgivingly, echoed, and doubted where doubt is due."""

from guyline.services.coordinates.doubts import Doubt, DoubtCode, doubts
from guyline.services.coordinates.notation import Candidate, Notation
from guyline.services.coordinates.reading import read_coordinates

__all__ = ["Candidate", "Doubt", "DoubtCode", "Notation", "doubts", "read_coordinates"]
