"""Colour copy."""
