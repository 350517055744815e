"""Whether a site is still on the air when it is needed."""
