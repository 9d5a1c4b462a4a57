"""What an owner is told of his items, what was handed over to him, and what he answers and asks."""
