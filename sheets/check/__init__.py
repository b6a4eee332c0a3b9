"""Finished pages measured against guidance."""
