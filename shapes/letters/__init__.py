"""Letterforms: the page font, outlines of its glyphs, how alike two letters are."""
