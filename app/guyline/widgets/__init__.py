"""Layout and painting."""
