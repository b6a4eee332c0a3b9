"""Shadow-match."""
