"""Places in and out: spreadsheets, satellite receivers, geographic information systems."""

from guyline.services.interchange.csv_columns import Column, guessed_columns
from guyline.services.interchange.csv_places import csv_of_places, places_of_table
from guyline.services.interchange.csv_table import SEPARATORS, CsvTable, read_table, text_of
from guyline.services.interchange.files import FORMATS, file_bytes, read_places, write_places
from guyline.services.interchange.geojson import geojson_of_places, places_of_geojson
from guyline.services.interchange.geopackage import geopackage_of_places, places_of_geopackage
from guyline.services.interchange.gpx import gpx_of_places, places_of_gpx
from guyline.services.interchange.kml import kml_of_places, places_of_kml
from guyline.services.interchange.place import (
    Line,
    Place,
    PlacesRead,
    lines_of_plan,
    places_of_plan,
)
from guyline.services.interchange.place_list import places_of_lines
from guyline.services.interchange.proposals import Proposal, proposals, with_new_sites
from guyline.services.interchange.shapefile_places import places_of_shapefile

__all__ = [
    "FORMATS",
    "SEPARATORS",
    "Column",
    "CsvTable",
    "Line",
    "Place",
    "PlacesRead",
    "Proposal",
    "csv_of_places",
    "file_bytes",
    "geojson_of_places",
    "geopackage_of_places",
    "gpx_of_places",
    "guessed_columns",
    "kml_of_places",
    "lines_of_plan",
    "places_of_geojson",
    "places_of_geopackage",
    "places_of_gpx",
    "places_of_kml",
    "places_of_lines",
    "places_of_plan",
    "places_of_shapefile",
    "places_of_table",
    "proposals",
    "read_places",
    "read_table",
    "text_of",
    "with_new_sites",
    "write_places",
]
