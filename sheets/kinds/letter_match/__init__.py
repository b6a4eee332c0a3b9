"""Letter-match."""
