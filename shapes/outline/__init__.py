"""Outlines to cut, derived from a silhouette by geometry."""
