"""Drawings as SVG: reading, values, guards; closed forms for plain elements."""
