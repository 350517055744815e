"""What stands on a page, as frozen values; the painting is elsewhere."""
