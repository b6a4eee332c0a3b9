"""Pages and tables to look things up in, for adults: pictures, practice shapes."""
