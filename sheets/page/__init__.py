"""A page in mm: marks with roles, the frame, art, cards and places."""
