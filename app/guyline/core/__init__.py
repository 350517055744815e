"""Values and functions: numpy in, numpy out; no files, no clock, no Qt."""
