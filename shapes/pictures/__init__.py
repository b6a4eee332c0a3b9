"""Pictures: the curated words, their names in several languages, silhouettes and regions."""
