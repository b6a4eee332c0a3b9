"""Trace-match."""
