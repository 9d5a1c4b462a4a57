"""Field packs in the window: making one, opening it on a laptop, sending the work back, and merging it."""
