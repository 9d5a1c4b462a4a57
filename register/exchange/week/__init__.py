"""A planned week as files for others: calendar, routes for a navigator, map points, day sheets."""
