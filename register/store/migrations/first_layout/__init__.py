"""The parts of the first layout, which is released: never edited again, as no migration is that was released."""
