"""What happens to a signal between two connectors."""
