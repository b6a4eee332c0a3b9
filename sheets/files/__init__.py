"""The files a teacher writes: themes, class lists, starters."""
