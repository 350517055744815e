"""The ground between two places."""
