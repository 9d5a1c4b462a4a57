"""How the program looks: colours, type, glyphs, and the small things that every page draws with."""
