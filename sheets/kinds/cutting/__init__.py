"""Cutting."""
