"""The one table of the program: a model that fetches rows as they come into sight, a view, its heads and cells."""
