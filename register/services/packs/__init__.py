"""Field packs: a part of the register for a laptop without network, and the way of its work back into the office."""
