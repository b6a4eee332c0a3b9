"""Every child's pages of a theme, in one run."""
