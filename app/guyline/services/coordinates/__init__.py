"""Coordinates as people write them: read forgivingly, echoed, and doubted where doubt is due."""

from guyline.services.coordinates.doubts import Doubt, DoubtCode, doubts
from guyline.services.coordinates.notation import LEFT_OUT, Candidate, Notation
from guyline.services.coordinates.reading import read_coordinates

__all__ = ["LEFT_OUT", "Candidate", "Doubt", "DoubtCode", "Notation", "doubts", "read_coordinates"]
