"""Sequence."""
