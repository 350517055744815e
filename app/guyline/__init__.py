"""Plan temporary off-grid radio networks and prove them before anyone climbs a hill."""

__version__ = "0.1.0"
