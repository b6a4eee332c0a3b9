"""Pattern."""
