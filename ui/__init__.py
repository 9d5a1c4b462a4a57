"""The window: every Qt import lives here. It asks `register`, never the database."""
