"""The steps by which the tables came to be, oldest first. They never import `tables`, which changes under them."""
