"""The adult's pages of a packet."""
